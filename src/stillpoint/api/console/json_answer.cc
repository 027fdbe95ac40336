#include "stillpoint/api/console/json_answer.h"

#include "stillpoint/api/station_status.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::api {

std::string json_text(const Json& document) {
  return document.dump(-1, ' ', false, Json::error_handler_t::replace);
}

net::HttpResponse json_answer(int status, const Json& document) {
  net::HttpResponse answer;
  answer.status = status;
  answer.content_type = "application/json";
  answer.body = json_text(document);
  answer.body += '\n';
  return answer;
}

Json text_or_null(const std::string& text) {
  return text.empty() ? Json(nullptr) : Json(text);
}

std::string time_text(GnssTime t) {
  constexpr std::int64_t kSecondNs = 1'000'000'000;
  // Towards the past also before the first epoch.
  const std::int64_t rest = ((t.ns() % kSecondNs) + kSecondNs) % kSecondNs;
  return format_utc(GnssTime::from_ns(t.ns() - rest));
}

Json time_or_null(const std::optional<GnssTime>& t) {
  return t ? Json(time_text(*t)) : Json(nullptr);
}

double unix_seconds(GnssTime t) {
  return std::round(unix_s(t));
}

Json rounded(double v, double step) {
  if (!std::isfinite(v)) {
    return nullptr;
  }
  const double per_unit = std::round(1 / step);
  return per_unit >= 1 ? std::round(v * per_unit) / per_unit
                       : std::round(v / step) * step;
}

Json number_or_null(const std::optional<double>& v, double step) {
  return v ? rounded(*v, step) : Json(nullptr);
}

Json ecef_json(const Ecef& p) {
  constexpr double kStepM = 1e-4;
  return Json::array(
      {rounded(p.x_m, kStepM), rounded(p.y_m, kStepM), rounded(p.z_m, kStepM)});
}

Json geodetic_json(const Ecef& p) {
  constexpr double kStepDeg = 1e-9, kStepM = 1e-4;
  const Geodetic g = to_geodetic(p);
  return Json::array({rounded(g.lat_rad * kDegPerRad, kStepDeg),
                      rounded(g.lon_rad * kDegPerRad, kStepDeg),
                      rounded(g.height_m, kStepM)});
}

Json three(const std::array<double, 3>& v, double scale, double step) {
  return Json::array({rounded(v[0] * scale, step),
                      rounded(v[1] * scale, step),
                      rounded(v[2] * scale, step)});
}

}  // namespace stillpoint::api
