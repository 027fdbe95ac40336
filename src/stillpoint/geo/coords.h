// Positions and their conversions. A coordinate that leaves the program is a
// FramedPosition, never a bare Ecef.
#pragma once

#include <array>
#include <cstdint>
#include <string>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

inline constexpr double kSpeedOfLightMps = 299'792'458.0;

// Earth-centred Earth-fixed vector [m] (or [m/s] where the name says so).
struct Ecef {
  double x_m = 0, y_m = 0, z_m = 0;
  friend Ecef operator+(const Ecef& a, const Ecef& b) {
    return {a.x_m + b.x_m, a.y_m + b.y_m, a.z_m + b.z_m};
  }
  friend Ecef operator-(const Ecef& a, const Ecef& b) {
    return {a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m};
  }
  friend Ecef operator*(double k, const Ecef& a) {
    return {k * a.x_m, k * a.y_m, k * a.z_m};
  }
};

double dot(const Ecef& a, const Ecef& b);
double norm(const Ecef& a);

// Angles in radians, east and north positive; height above the ellipsoid [m],
// not above sea level.
struct Geodetic {
  double lat_rad = 0, lon_rad = 0, height_m = 0;
};

// Offset in the local level frame of a stated origin [m].
struct Enu {
  double e_m = 0, n_m = 0, u_m = 0;
};

// GRS80 goes with the ITRF and its national realisations; WGS84 with the
// broadcast frame. They differ by 0.1 mm in height.
enum class Ellipsoid : std::uint8_t { kGrs80, kWgs84 };

// Geodetic <-> Cartesian.
//
//   accuracy  5e-9 m near the surface, 3e-8 m at 4e7 m: the rounding of doubles
//             and of the angles in them
//   source    GeographicLib, class Geocentric (C. Karney)
Ecef to_ecef(const Geodetic& g, Ellipsoid ellipsoid = Ellipsoid::kGrs80);
Geodetic to_geodetic(const Ecef& p, Ellipsoid ellipsoid = Ellipsoid::kGrs80);

// 3 x 3, row major.
using Mat3 = std::array<double, 9>;

// Rotation from ECEF axes to east, north, up at a place.
Mat3 enu_R_ecef(const Geodetic& at);
Enu rotate(const Mat3& enu_R_ecef, const Ecef& v);
// The inverse rotation.
Ecef rotate_back(const Mat3& enu_R_ecef, const Enu& v);

// Vector from `origin` to `p`, in the local frame at `origin`.
Enu to_enu(const Ecef& p, const Ecef& origin);
Ecef from_enu(const Enu& offset, const Ecef& origin);

// Direction from a place to a target.
struct AzEl {
  double azimuth_rad = 0;    // [0, 2 pi), north = 0, east = pi/2
  double elevation_rad = 0;  // above the ellipsoid's horizontal plane
};
AzEl azimuth_elevation(const Mat3& enu_R_ecef, const Ecef& line_of_sight);

// Symmetric covariance of an ECEF position [m^2], row major.
using Cov3 = Mat3;
// R C R^T: the same covariance in east, north, up.
Cov3 covariance_to_enu(const Mat3& enu_R_ecef, const Cov3& ecef);
Cov3 covariance_to_ecef(const Mat3& enu_R_ecef, const Cov3& enu);

// Which reference frame realisation a coordinate is in, by its published name
// ("IGb14", "ITRF2014", "WGS84"). Unknown labels are kept as they are.
struct FrameId {
  std::string name;
  friend bool operator==(const FrameId&, const FrameId&) = default;
};

// What the coordinate belongs to.
enum class Point : std::uint8_t {
  kMarker,       // ground mark or mount reference below the antenna
  kArp,          // antenna reference point
  kPhaseCentre,  // of the antenna
};
const char* point_name(Point p);  // "marker", "arp", "phase_centre"

// A coordinate that may leave the program.
struct FramedPosition {
  Ecef ecef;
  FrameId frame;
  GnssTime epoch;
  Cov3 covariance_m2{};
  Point point = Point::kMarker;
};

}  // namespace stillpoint
