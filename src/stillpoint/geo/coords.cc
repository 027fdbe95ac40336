#include "stillpoint/geo/coords.h"

#include <GeographicLib/Geocentric.hpp>
#include <cmath>
#include <numbers>

namespace stillpoint {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180.0;

// a = 6378137 m for both.
// source: Moritz, "Geodetic Reference System 1980", J. Geodesy 74 (2000);
// NIMA TR8350.2, "Department of Defense World Geodetic System 1984"
const GeographicLib::Geocentric& geocentric(Ellipsoid ellipsoid) {
  static const GeographicLib::Geocentric grs80(6378137.0, 1 / 298.257222101);
  static const GeographicLib::Geocentric wgs84(6378137.0, 1 / 298.257223563);
  return ellipsoid == Ellipsoid::kGrs80 ? grs80 : wgs84;
}

Mat3 multiply(const Mat3& a, const Mat3& b) {
  Mat3 product{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      for (std::size_t k = 0; k < 3; ++k) {
        product[3 * i + j] += a[3 * i + k] * b[3 * k + j];
      }
    }
  }
  return product;
}

Mat3 transposed(const Mat3& m) {
  return {m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]};
}

// R C R^T, made symmetric to the last bit.
Cov3 congruence(const Mat3& r, const Cov3& c) {
  Cov3 out = multiply(multiply(r, c), transposed(r));
  for (const auto& [upper, lower] : {std::pair{1U, 3U}, {2U, 6U}, {5U, 7U}}) {
    out[upper] = out[lower] = 0.5 * (out[upper] + out[lower]);
  }
  return out;
}

}  // namespace

double dot(const Ecef& a, const Ecef& b) {
  return a.x_m * b.x_m + a.y_m * b.y_m + a.z_m * b.z_m;
}

double norm(const Ecef& a) {
  return std::sqrt(dot(a, a));
}

Ecef to_ecef(const Geodetic& g, Ellipsoid ellipsoid) {
  Ecef p;
  geocentric(ellipsoid).Forward(g.lat_rad / kRadPerDeg,
                                g.lon_rad / kRadPerDeg,
                                g.height_m,
                                p.x_m,
                                p.y_m,
                                p.z_m);
  return p;
}

Geodetic to_geodetic(const Ecef& p, Ellipsoid ellipsoid) {
  double lat_deg = 0;
  double lon_deg = 0;
  Geodetic g;
  geocentric(ellipsoid).Reverse(
      p.x_m, p.y_m, p.z_m, lat_deg, lon_deg, g.height_m);
  g.lat_rad = lat_deg * kRadPerDeg;
  g.lon_rad = lon_deg * kRadPerDeg;
  return g;
}

Mat3 enu_R_ecef(const Geodetic& at) {
  const double sin_lat = std::sin(at.lat_rad);
  const double cos_lat = std::cos(at.lat_rad);
  const double sin_lon = std::sin(at.lon_rad);
  const double cos_lon = std::cos(at.lon_rad);
  return {-sin_lon,
          cos_lon,
          0,
          -sin_lat * cos_lon,
          -sin_lat * sin_lon,
          cos_lat,
          cos_lat * cos_lon,
          cos_lat * sin_lon,
          sin_lat};
}

Enu rotate(const Mat3& enu_R_ecef, const Ecef& v) {
  const Mat3& r = enu_R_ecef;
  return {r[0] * v.x_m + r[1] * v.y_m + r[2] * v.z_m,
          r[3] * v.x_m + r[4] * v.y_m + r[5] * v.z_m,
          r[6] * v.x_m + r[7] * v.y_m + r[8] * v.z_m};
}

Ecef rotate_back(const Mat3& enu_R_ecef, const Enu& v) {
  const Mat3& r = enu_R_ecef;
  return {r[0] * v.e_m + r[3] * v.n_m + r[6] * v.u_m,
          r[1] * v.e_m + r[4] * v.n_m + r[7] * v.u_m,
          r[2] * v.e_m + r[5] * v.n_m + r[8] * v.u_m};
}

Enu to_enu(const Ecef& p, const Ecef& origin) {
  return rotate(enu_R_ecef(to_geodetic(origin)), p - origin);
}

Ecef from_enu(const Enu& offset, const Ecef& origin) {
  return origin + rotate_back(enu_R_ecef(to_geodetic(origin)), offset);
}

AzEl azimuth_elevation(const Mat3& enu_R_ecef, const Ecef& line_of_sight) {
  const Enu v = rotate(enu_R_ecef, line_of_sight);
  const double turn = 2 * std::numbers::pi;
  double azimuth = std::atan2(v.e_m, v.n_m);
  if (azimuth < 0) {
    azimuth += turn;
  }
  if (azimuth >= turn) {  // -1e-20 + 2 pi is 2 pi
    azimuth = 0;
  }
  return {azimuth, std::atan2(v.u_m, std::hypot(v.e_m, v.n_m))};
}

Cov3 covariance_to_enu(const Mat3& enu_R_ecef, const Cov3& ecef) {
  return congruence(enu_R_ecef, ecef);
}

Cov3 covariance_to_ecef(const Mat3& enu_R_ecef, const Cov3& enu) {
  return congruence(transposed(enu_R_ecef), enu);
}

const char* point_name(Point p) {
  switch (p) {
    case Point::kMarker:
      return "marker";
    case Point::kArp:
      return "arp";
    case Point::kPhaseCentre:
      return "phase_centre";
  }
  return "marker";
}

}  // namespace stillpoint
