// Values into the JSON of the console's documents.
#pragma once

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>
#include <optional>
#include <string>

#include "stillpoint/geo/coords.h"
#include "stillpoint/net/http_message.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::api {

using Json = nlohmann::ordered_json;

inline constexpr int kApiSchemaVersion = 1;
inline constexpr double kDegPerRad = 180 / std::numbers::pi;

// Bytes that are no UTF-8 (names of devices) are replaced.
net::HttpResponse json_answer(int status, const Json& document);
std::string json_text(const Json& document);

Json text_or_null(const std::string& text);
Json time_or_null(const std::optional<GnssTime>& t);
std::string time_text(GnssTime t);  // to the second
double unix_seconds(GnssTime t);

// Rounded to `step`; what is no number is null.
Json number_or_null(const std::optional<double>& v, double step = 1e-3);
Json rounded(double v, double step);
Json ecef_json(const Ecef& p);      // to 0.1 mm
Json geodetic_json(const Ecef& p);  // degrees and metres
Json three(const std::array<double, 3>& v, double scale, double step);

template <class T>
Json or_null(const std::optional<T>& v) {
  return v ? Json(*v) : Json(nullptr);
}

}  // namespace stillpoint::api
