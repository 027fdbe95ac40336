#include "stillpoint/report/record_json.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>

#include "stillpoint/report/json_number.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kSteps = 1e5;  // 0.01 mm, as everywhere
constexpr double kMmSteps = 1e2;

Json text_or_null(const std::string& text) {
  return text.empty() ? Json() : Json(text);
}

Json time_or_null(const std::optional<GnssTime>& t) {
  return t ? Json(format_utc(*t)) : Json();
}

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json();
}

Json in_mm(const std::array<double, 3>& m) {
  return triple(std::array<double, 3>{m[0] * 1e3, m[1] * 1e3, m[2] * 1e3},
                kMmSteps);
}

Json point_json(const FramedPosition& p) {
  constexpr double kDeg = 180 / std::numbers::pi;
  const Geodetic g = to_geodetic(
      p.ecef, p.frame.name == "WGS84" ? Ellipsoid::kWgs84 : Ellipsoid::kGrs80);
  return {{"ecef_m", triple(p.ecef, kSteps)},
          {"geodetic_deg_m",
           Json::array({rounded(g.lat_rad * kDeg, 1e10),
                        rounded(g.lon_rad * kDeg, 1e10),
                        rounded(g.height_m, kSteps)})}};
}

Json row_json(const CandidateRow& row) {
  Json out = record_json(row.stored);
  const Enu d = row.difference_m.value_or(Enu{});
  out["span_h"] = row.span_h ? number(*row.span_h, 1e3) : Json();
  out["adopted"] = row.adopted;
  out["best"] = row.best;
  out["ecef_m"] = row.position ? triple(row.position->ecef, kSteps) : Json();
  out["moved_by"] = row.position ? Json(row.moved_by) : Json();
  out["sigma_enu_mm"] = in_mm(row.sigma_enu_m);
  out["difference_enu_mm"] =
      row.difference_m ? in_mm({d.e_m, d.n_m, d.u_m}) : Json();
  out["difference_sigma_enu_mm"] =
      row.difference_sigma_enu_m ? in_mm(*row.difference_sigma_enu_m) : Json();
  out["distance_mm"] =
      row.difference_m ? number(std::hypot(d.e_m, d.n_m, d.u_m) * 1e3, kMmSteps)
                       : Json();
  out["test"] = row.test ? number(*row.test, 1e2) : Json();
  out["agrees"] = or_null(row.agrees);
  out["why"] = row.why;
  return out;
}

}  // namespace

Json warnings_json(std::span<const solve::Warning> warnings) {
  Json rows = Json::array();
  for (const solve::Warning& w : warnings) {
    rows.push_back({{"code", w.code},
                    {"what", w.what},
                    {"size_m", w.size_m ? number(*w.size_m, 1e4) : Json()}});
  }
  return rows;
}

Json adoption_json(const Adoption& adoption) {
  return {{"id", adoption.id},
          {"record", adoption.record},
          {"at", format_utc(adoption.at)},
          {"by", adoption.by},
          {"why", adoption.why}};
}

Json record_json(const StoredRecord& stored) {
  const PositionRecord& r = stored.record;
  return {{"id", stored.id},
          {"method", r.method},
          {"products", text_or_null(r.products)},
          {"origin", record_origin_name(r.origin)},
          {"source", text_or_null(r.source)},
          {"added", format_utc(stored.added)},
          {"by", stored.by},
          {"first", time_or_null(r.first)},
          {"end", time_or_null(r.end)},
          {"antenna", text_or_null(r.antenna_type)},
          {"delta_enu_m", triple(r.delta_enu_m, kSteps)},
          {"frame", r.position.frame.name},
          {"epoch", format_utc(r.position.epoch)},
          {"point", point_name(r.position.point)},
          {"document_sha256", text_or_null(r.document_sha256)},
          {"program_version", text_or_null(r.program_version)}};
}

Json points_json(const FramedPosition& position,
                 const std::array<double, 3>& delta_enu_m) {
  return {
      {"frame", position.frame.name},
      {"epoch", format_utc(position.epoch)},
      {"marker", point_json(point_of(position, delta_enu_m, Point::kMarker))},
      {"arp", point_json(point_of(position, delta_enu_m, Point::kArp))},
      {"sigma_enu_m", triple(sigma_enu_m(position), kSteps)},
      {"covariance_ecef_m2", matrix(position.covariance_m2)}};
}

Json candidates_json(const CandidateTable& table) {
  const bool some = !table.rows.empty();
  Json rows = Json::array();
  for (const CandidateRow& row : table.rows) {
    rows.push_back(row_json(row));
  }
  return {{"frame", some ? Json(table.frame.name) : Json()},
          {"epoch", some ? Json(format_utc(table.epoch)) : Json()},
          {"adopted", or_null(table.adopted)},
          {"best", or_null(table.best)},
          {"reference", or_null(table.reference)},
          {"limit", rounded(table.limit, 1e2)},
          {"candidates", std::move(rows)},
          {"warnings", warnings_json(table.warnings)}};
}

}  // namespace stillpoint::report
