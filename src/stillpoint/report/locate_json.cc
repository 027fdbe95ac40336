#include "stillpoint/report/locate_json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>

#include "stillpoint/report/json_number.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

using Json = nlohmann::ordered_json;

Json position_json(const solve::Solution& s) {
  if (!s.position) {
    return nullptr;
  }
  const FramedPosition& p = *s.position;
  const Ellipsoid ellipsoid =
      p.frame.name == "WGS84" ? Ellipsoid::kWgs84 : Ellipsoid::kGrs80;
  const Geodetic g = to_geodetic(p.ecef, ellipsoid);
  constexpr double kDeg = 180 / std::numbers::pi;
  return {
      {"ecef_m", triple(p.ecef, 1e5)},
      {"geodetic_deg_m",
       Json::array({rounded(g.lat_rad * kDeg, 1e10),
                    rounded(g.lon_rad * kDeg, 1e10),
                    rounded(g.height_m, 1e5)})},
      {"frame", p.frame.name.empty() ? Json() : Json(p.frame.name)},
      {"epoch", format_utc(p.epoch)},
      {"point", point_name(p.point)},
      {"sigma_enu_m", triple(s.sigma_enu_m, 1e5)},
      {"sigma_without_calibration_enu_m",
       triple(s.sigma_without_calibration_enu_m, 1e5)},
      {"covariance_ecef_m2", matrix(p.covariance_m2)},
  };
}

Json used_json(const solve::Solution& s) {
  const solve::Counts& c = s.counts;
  Json satellites = Json::object();
  for (const auto& [system, count] : c.satellites) {
    satellites[std::string(1, system_letter(system))] = count;
  }
  return {{"epochs", c.epochs},
          {"observations", c.observations},
          {"satellites", satellites},
          {"rejected", c.rejected},
          {"slips", s.slips ? Json(*s.slips) : Json()}};
}

Json excluded_json(const solve::Counts& c) {
  Json rows = Json::array();
  for (const auto& [sat, reasons] : c.excluded) {
    for (std::size_t r = 0; r < reasons.size(); ++r) {
      if (reasons[r] > 0) {
        rows.push_back(
            {{"satellite", sat.text()},
             {"reason", exclusion_name(static_cast<solve::Exclusion>(r))},
             {"observations", reasons[r]}});
      }
    }
  }
  return rows;
}

Json systems_json(const solve::Solution& s) {
  Json rows = Json::array();
  for (const solve::SystemFit& fit : s.systems) {
    rows.push_back({{"system", std::string(1, system_letter(fit.system))},
                    {"noise_factor", rounded(fit.noise_factor, 1e3)},
                    {"residual_rms_m", rounded(fit.residual_rms_m, 1e4)}});
  }
  return rows;
}

Json satellites_json(const solve::Solution& s) {
  Json rows = Json::array();
  for (const solve::SatelliteFit& fit : s.satellites) {
    rows.push_back({{"satellite", fit.sat.text()},
                    {"observations", fit.observations},
                    {"rejected", fit.rejected},
                    {"residual_mean_m", rounded(fit.mean_m, 1e4)},
                    {"residual_rms_m", rounded(fit.rms_m, 1e4)}});
  }
  return rows;
}

Json warnings_json(const solve::Solution& s) {
  Json rows = Json::array();
  for (const solve::Warning& w : s.warnings) {
    rows.push_back({{"code", w.code},
                    {"what", w.what},
                    {"size_m", w.size_m ? number(*w.size_m, 1e4) : Json()}});
  }
  return rows;
}

Json inputs_json(const LocateContext& context) {
  Json rows = Json::array();
  for (const InputFile& file : context.inputs) {
    rows.push_back({{"path", file.path}, {"sha256", file.sha256}});
  }
  return rows;
}

Json time_or_null(const std::optional<GnssTime>& t) {
  return t ? Json(format_utc(*t)) : Json(nullptr);
}

}  // namespace

Json ambiguities_json(const solve::Solution& s) {
  return {
      {"total", s.ambiguities},
      {"fixed", s.ambiguities_fixed},
      {"ratio", s.ambiguity_ratio ? number(*s.ambiguity_ratio, 1e2) : Json()},
      {"integers_from",
       s.integers_from.empty() ? Json() : Json(s.integers_from)}};
}

Json locate_json(const solve::Solution& s, const LocateContext& context) {
  const bool solved = s.position.has_value();
  Json document = {
      {"schema_version", kSchemaVersion},
      {"status", status_name(s.status)},
      {"why", s.why},
      {"method", context.method},
      {"marker", context.marker_name},
      {"position", position_json(s)},
      {"antenna",
       {{"type", context.antenna_type},
        {"delta_enu_m", triple(context.antenna_delta_enu_m, 1e5)},
        {"calibration", s.calibration}}},
      {"span",
       {{"first", time_or_null(s.first)},
        {"last", time_or_null(s.last)},
        {"epochs_seen", s.counts.epochs_seen}}},
      {"used", used_json(s)},
      {"excluded", excluded_json(s.counts)},
      {"systems", systems_json(s)},
      {"satellites", satellites_json(s)},
      {"residuals",
       {{"phase_rms_m", s.phase_rms_m ? number(*s.phase_rms_m, 1e5) : Json()},
        {"code_rms_m", solved ? number(s.code_rms_m, 1e4) : Json()}}},
      {"ambiguities", ambiguities_json(s)},
      {"troposphere",
       {{"zenith_delay_m", solved ? number(s.zenith_delay_m, 1e4) : Json()}}},
      {"warnings", warnings_json(s)},
      {"without", context.without},
      {"inputs", inputs_json(context)},
      {"version", context.version},
  };
  if (s.status == solve::SolveStatus::kFailed) {
    Error error{ErrorCode::kNoData, s.why, "", ""};
    document["error"] = error_json(error)["error"];
  }
  return document;
}

Json error_json(const Error& error) {
  return {{"error",
           {{"code", error_name(error.code)},
            {"what", error.what},
            {"where", error.where},
            {"remedy",
             error.remedy.empty() ? default_remedy(error.code)
                                  : error.remedy.c_str()}}}};
}

std::string to_text(const Json& document) {
  // Names from damaged files may not be UTF-8; they are shown, not fatal.
  return document.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace stillpoint::report
