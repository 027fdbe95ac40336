#include "stillpoint/simulate/nature/sun_moon_series.h"

#include <array>
#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180;
constexpr double kAstronomicalUnitM = 149'597'870'700.0;

// Multiples of D (elongation), M (Sun's anomaly), M' (Moon's anomaly), F
// (distance from the node); sine of the longitude [1e-6 deg], cosine of the
// distance [m].
struct LongitudeTerm {
  int d, m, mp, f;
  double sine, cosine;
};
struct LatitudeTerm {
  int d, m, mp, f;
  double sine;  // [1e-6 deg]
};

constexpr std::array<LongitudeTerm, 38> kLongitude{{
    {0, 0, 1, 0, 6288774, -20905355}, {2, 0, -1, 0, 1274027, -3699111},
    {2, 0, 0, 0, 658314, -2955968},   {0, 0, 2, 0, 213618, -569925},
    {0, 1, 0, 0, -185116, 48888},     {0, 0, 0, 2, -114332, -3149},
    {2, 0, -2, 0, 58793, 246158},     {2, -1, -1, 0, 57066, -152138},
    {2, 0, 1, 0, 53322, -170733},     {2, -1, 0, 0, 45758, -204586},
    {0, 1, -1, 0, -40923, -129620},   {1, 0, 0, 0, -34720, 108743},
    {0, 1, 1, 0, -30383, 104755},     {2, 0, 0, -2, 15327, 10321},
    {0, 0, 1, 2, -12528, 0},          {0, 0, 1, -2, 10980, 79661},
    {4, 0, -1, 0, 10675, -34782},     {0, 0, 3, 0, 10034, -23210},
    {4, 0, -2, 0, 8548, -21636},      {2, 1, -1, 0, -7888, 24208},
    {2, 1, 0, 0, -6766, 30824},       {1, 0, -1, 0, -5163, -8379},
    {1, 1, 0, 0, 4987, -16675},       {2, -1, 1, 0, 4036, -12831},
    {2, 0, 2, 0, 3994, -10445},       {4, 0, 0, 0, 3861, -11650},
    {2, 0, -3, 0, 3665, 14403},       {0, 1, -2, 0, -2689, -7003},
    {2, 0, -1, 2, -2602, 0},          {2, -1, -2, 0, 2390, 10056},
    {1, 0, 1, 0, -2348, 6322},        {2, -2, 0, 0, 2236, -9884},
    {0, 1, 2, 0, -2120, 5751},        {0, 2, 0, 0, -2069, 0},
    {2, -2, -1, 0, 2048, -4950},      {2, 0, 1, -2, -1773, 4130},
    {2, 0, 0, 2, -1595, 0},           {4, -1, -1, 0, 1215, -3958},
}};

constexpr std::array<LatitudeTerm, 30> kLatitude{{
    {0, 0, 0, 1, 5128122}, {0, 0, 1, 1, 280602},  {0, 0, 1, -1, 277693},
    {2, 0, 0, -1, 173237}, {2, 0, -1, 1, 55413},  {2, 0, -1, -1, 46271},
    {2, 0, 0, 1, 32573},   {0, 0, 2, 1, 17198},   {2, 0, 1, -1, 9266},
    {0, 0, 2, -1, 8822},   {2, -1, 0, -1, 8216},  {2, 0, -2, -1, 4324},
    {2, 0, 1, 1, 4200},    {2, 1, 0, -1, -3359},  {2, -1, -1, 1, 2463},
    {2, -1, 0, 1, 2211},   {2, -1, -1, -1, 2065}, {0, 1, -1, -1, -1870},
    {4, 0, -1, -1, 1828},  {0, 1, 0, 1, -1794},   {0, 0, 0, 3, -1749},
    {0, 1, -1, 1, -1565},  {1, 0, 0, 1, -1491},   {0, 1, 1, 1, -1475},
    {0, 1, 1, -1, -1410},  {0, 1, 0, -1, -1344},  {1, 0, 0, -1, -1335},
    {0, 0, 3, 1, 1107},    {4, 0, 0, -1, 1021},   {4, 0, -1, 1, 833},
}};

struct Arguments {
  double moon_lon_deg, d_deg, m_deg, mp_deg, f_deg;
};

Arguments arguments(double t) {
  return {
      218.3164477 + t * (481267.88123421 - t * 0.0015786),
      297.8501921 + t * (445267.1114034 - t * 0.0018819),
      357.5291092 + t * (35999.0502909 - t * 0.0001536),
      134.9633964 + t * (477198.8675055 + t * 0.0087414),
      93.2720950 + t * (483202.0175233 - t * 0.0036539),
  };
}

template <typename Term>
double angle_rad(const Term& k, const Arguments& a) {
  return kDeg *
         (k.d * a.d_deg + k.m * a.m_deg + k.mp * a.mp_deg + k.f * a.f_deg);
}

// Terms with the Sun's anomaly shrink with the Earth's eccentricity.
double eccentricity_factor(int m, double e) {
  if (m == 0) {
    return 1;
  }
  return m == 1 || m == -1 ? e : e * e;
}

double sine(double deg) {
  return std::sin(deg * kDeg);
}

}  // namespace

Ecliptic sun_ecliptic(double t) {
  const double mean_lon_deg = 280.46646 + t * (36000.76983 + t * 0.0003032);
  const double m = 357.52911 + t * (35999.05029 - t * 0.0001537);
  const double e = 0.016708634 - t * (0.000042037 + t * 0.0000001267);
  const double centre_deg =
      (1.914602 - t * (0.004817 + t * 0.000014)) * sine(m) +
      (0.019993 - t * 0.000101) * sine(2 * m) + 0.000289 * sine(3 * m);
  const double true_anomaly_rad = (m + centre_deg) * kDeg;
  const double distance_au =
      1.000001018 * (1 - e * e) / (1 + e * std::cos(true_anomaly_rad));
  return {
      std::remainder((mean_lon_deg + centre_deg) * kDeg, 2 * std::numbers::pi),
      0,
      distance_au * kAstronomicalUnitM};
}

Ecliptic moon_ecliptic(double t) {
  const Arguments a = arguments(t);
  const double e = 1 - t * (0.002516 + t * 0.0000074);
  double lon = 0, lat = 0, distance_m = 385'000'560.0;
  for (const LongitudeTerm& k : kLongitude) {
    const double angle = angle_rad(k, a);
    const double factor = eccentricity_factor(k.m, e);
    lon += factor * k.sine * std::sin(angle);
    distance_m += factor * k.cosine * std::cos(angle);
  }
  for (const LatitudeTerm& k : kLatitude) {
    lat += eccentricity_factor(k.m, e) * k.sine * std::sin(angle_rad(k, a));
  }
  // Venus, Jupiter and the flattening of the Earth.
  const double venus = 119.75 + 131.849 * t;
  const double jupiter = 53.09 + 479264.290 * t;
  const double third = 313.45 + 481266.484 * t;
  const double l = a.moon_lon_deg;
  lon += 3958 * sine(venus) + 1962 * sine(l - a.f_deg) + 318 * sine(jupiter);
  lat += -2235 * sine(l) + 382 * sine(third) + 175 * sine(venus - a.f_deg) +
         175 * sine(venus + a.f_deg) + 127 * sine(l - a.mp_deg) -
         115 * sine(l + a.mp_deg);
  return {std::remainder((l + lon * 1e-6) * kDeg, 2 * std::numbers::pi),
          lat * 1e-6 * kDeg,
          distance_m};
}

MeanAngles mean_angles(double t) {
  const Arguments a = arguments(t);
  const double sun_deg = 280.46646 + t * (36000.76983 + t * 0.0003032);
  return {a.moon_lon_deg,
          sun_deg,
          a.moon_lon_deg - a.mp_deg,
          a.moon_lon_deg - a.f_deg,
          sun_deg - a.m_deg};
}

}  // namespace stillpoint::simulate
