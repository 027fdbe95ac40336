// Test program: our geodesy and time scales, one question a line on stdin, one
// answer a line on stdout. Lengths in metres, angles in degrees, 17 digits.
//
//   to_ecef ELLIPSOID LAT LON H              X Y Z
//   to_geodetic ELLIPSOID X Y Z              LAT LON H
//   to_enu X Y Z ORIGIN_X ORIGIN_Y ORIGIN_Z  E N U     (GRS80)
//   plate MODEL NAME X Y Z                   VX VY VZ  (m/year)
//   gps_minus_utc Y M D H MIN S              seconds at that UTC reading
//   mjd SCALE Y M D H MIN S                  day and its part on that scale
//   gpst Y M D H MIN S                       GPST reading of a UTC reading, as
//                                            whole days since 1980-01-06 and s
// ELLIPSOID grs80 | wgs84; MODEL itrf2014 | itrf2020; SCALE gps | utc | tai |
// beidou. Exit: 0; 3 at the first line that is not a question.
#include <array>
#include <cstdint>
#include <cstdio>
#include <iostream>
#include <numbers>
#include <optional>
#include <sstream>
#include <string>

#include "stillpoint/datum/plate_motion.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;

constexpr double kDeg = std::numbers::pi / 180;
using Answer = std::optional<std::string>;

std::string three(double a, double b, double c) {
  std::array<char, 128> text{};
  const int size =
      std::snprintf(text.data(), text.size(), "%.17g %.17g %.17g", a, b, c);
  return {text.data(), static_cast<std::size_t>(size)};
}

std::optional<Ellipsoid> read_ellipsoid(std::istream& in) {
  std::string name;
  in >> name;
  if (name == "grs80") {
    return Ellipsoid::kGrs80;
  }
  return name == "wgs84" ? std::optional(Ellipsoid::kWgs84) : std::nullopt;
}

std::optional<TimeScale> read_scale(std::istream& in) {
  std::string name;
  in >> name;
  if (name == "gps") {
    return TimeScale::kGps;
  }
  if (name == "utc") {
    return TimeScale::kUtc;
  }
  if (name == "tai") {
    return TimeScale::kTai;
  }
  return name == "beidou" ? std::optional(TimeScale::kBeidou) : std::nullopt;
}

Ecef read_ecef(std::istream& in) {
  Ecef p;
  in >> p.x_m >> p.y_m >> p.z_m;
  return p;
}

Result<GnssTime> read_instant(std::istream& in, TimeScale scale) {
  Calendar c;
  in >> c.year >> c.month >> c.day >> c.hour >> c.minute >> c.second;
  return from_calendar(c, scale);
}

Answer answer_to_ecef(std::istream& in) {
  const auto ellipsoid = read_ellipsoid(in);
  double lat = 0, lon = 0, height = 0;
  if (!ellipsoid || !(in >> lat >> lon >> height)) {
    return std::nullopt;
  }
  const Ecef p = to_ecef({lat * kDeg, lon * kDeg, height}, *ellipsoid);
  return three(p.x_m, p.y_m, p.z_m);
}

Answer answer_to_geodetic(std::istream& in) {
  const auto ellipsoid = read_ellipsoid(in);
  const Ecef p = read_ecef(in);
  if (!ellipsoid || !in) {
    return std::nullopt;
  }
  const Geodetic g = to_geodetic(p, *ellipsoid);
  return three(g.lat_rad / kDeg, g.lon_rad / kDeg, g.height_m);
}

Answer answer_to_enu(std::istream& in) {
  const Ecef p = read_ecef(in);
  const Ecef origin = read_ecef(in);
  if (!in) {
    return std::nullopt;
  }
  const Enu enu = to_enu(p, origin);
  return three(enu.e_m, enu.n_m, enu.u_m);
}

Answer answer_plate(std::istream& in) {
  std::string model, name;
  in >> model >> name;
  const Ecef at = read_ecef(in);
  const auto plate = find_plate(
      model == "itrf2014" ? PlateModel::kItrf2014 : PlateModel::kItrf2020,
      name);
  if (!in || !plate || (model != "itrf2014" && model != "itrf2020")) {
    return std::nullopt;
  }
  const EcefVelocity v = velocity_m_per_year(*plate, at);
  return three(v.x_m_per_year, v.y_m_per_year, v.z_m_per_year);
}

Answer answer_gps_minus_utc(std::istream& in) {
  const auto t = read_instant(in, TimeScale::kUtc);
  if (!in || !t) {
    return std::nullopt;
  }
  return std::to_string(gps_minus_utc_s(*t));
}

Answer answer_mjd(std::istream& in) {
  const auto scale = read_scale(in);
  const auto t = scale ? read_instant(in, *scale)
                       : Result<GnssTime>(fail(ErrorCode::kUsage, ""));
  if (!in || !t) {
    return std::nullopt;
  }
  std::array<char, 64> text{};
  const int size =
      std::snprintf(text.data(), text.size(), "%.17g", to_mjd(*t, *scale));
  return std::string(text.data(), static_cast<std::size_t>(size));
}

Answer answer_gpst(std::istream& in) {
  const auto t = read_instant(in, TimeScale::kUtc);
  if (!in || !t) {
    return std::nullopt;
  }
  constexpr std::int64_t kDayNs = 86'400 * GnssTime::kNsPerS;
  const std::int64_t day = t->ns() / kDayNs;
  return std::to_string(day) + " " + std::to_string(t->ns() % kDayNs) + "e-9";
}

Answer answer(const std::string& line) {
  std::istringstream in(line);
  std::string question;
  in >> question;
  if (question == "to_ecef") {
    return answer_to_ecef(in);
  }
  if (question == "to_geodetic") {
    return answer_to_geodetic(in);
  }
  if (question == "to_enu") {
    return answer_to_enu(in);
  }
  if (question == "plate") {
    return answer_plate(in);
  }
  if (question == "gps_minus_utc") {
    return answer_gps_minus_utc(in);
  }
  if (question == "mjd") {
    return answer_mjd(in);
  }
  return question == "gpst" ? answer_gpst(in) : std::nullopt;
}

}  // namespace

int main() {
  for (std::string line; std::getline(std::cin, line);) {
    const Answer text = answer(line);
    if (!text) {
      std::fprintf(stderr, "not a question: %s\n", line.c_str());
      return 3;
    }
    std::printf("%s\n", text->c_str());
  }
  return 0;
}
