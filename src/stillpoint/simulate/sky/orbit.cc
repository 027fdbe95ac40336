#include "stillpoint/simulate/sky/orbit.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::simulate {
namespace {

double eccentric_anomaly(double mean_rad, double eccentricity) {
  double e_rad = mean_rad;
  for (int i = 0; i < 8; ++i) {
    const double step = (e_rad - eccentricity * std::sin(e_rad) - mean_rad) /
                        (1 - eccentricity * std::cos(e_rad));
    e_rad -= step;
    if (std::abs(step) < 1e-15) {
      break;
    }
  }
  return e_rad;
}

double mean_anomaly(const Elements& o, double t_s) {
  return std::remainder(o.m0_rad + o.mean_motion_rad_per_s * t_s,
                        2 * 3.14159265358979323846);
}

using Vec = std::array<double, 3>;
constexpr double kNodeS = 60;
constexpr double kStepS = 10;  // divides kNodeS
constexpr double kEquatorM = 6'378'136;
constexpr double kJ2 = 1'082'625.75e-9;

// In axes that turn with the Earth.
Vec acceleration(const Vec& p, const Vec& v) {
  const double r2 = p[0] * p[0] + p[1] * p[1] + p[2] * p[2];
  const double r = std::sqrt(r2);
  const double central = -kGmGalileo / (r2 * r);
  const double flat =
      -1.5 * kJ2 * kGmGalileo * kEquatorM * kEquatorM / (r2 * r2 * r);
  const double z2 = 5 * p[2] * p[2] / r2;
  const double w = kRateGlonass;
  return {(central + flat * (1 - z2) + w * w) * p[0] + 2 * w * v[1],
          (central + flat * (1 - z2) + w * w) * p[1] - 2 * w * v[0],
          (central + flat * (3 - z2)) * p[2]};
}

Vec plus(const Vec& a, double k, const Vec& b) {
  return {a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]};
}

// One step of the classical Runge-Kutta method.
void step(Vec& p, Vec& v, double h) {
  const Vec a1 = acceleration(p, v);
  const Vec p2 = plus(p, h / 2, v), v2 = plus(v, h / 2, a1);
  const Vec a2 = acceleration(p2, v2);
  const Vec p3 = plus(p, h / 2, v2), v3 = plus(v, h / 2, a2);
  const Vec a3 = acceleration(p3, v3);
  const Vec p4 = plus(p, h, v3), v4 = plus(v, h, a3);
  const Vec a4 = acceleration(p4, v4);
  for (std::size_t i = 0; i < 3; ++i) {
    p[i] += h / 6 * (v[i] + 2 * v2[i] + 2 * v3[i] + v4[i]);
    v[i] += h / 6 * (a1[i] + 2 * a2[i] + 2 * a3[i] + a4[i]);
  }
}

}  // namespace

Ecef position_of(const Elements& o, double t_s) {
  const double e_rad = eccentric_anomaly(mean_anomaly(o, t_s), o.eccentricity);
  const double cos_e = std::cos(e_rad), sin_e = std::sin(e_rad);
  const double true_rad =
      std::atan2(std::sqrt(1 - o.eccentricity * o.eccentricity) * sin_e,
                 cos_e - o.eccentricity);
  const double u = true_rad + o.omega_rad;
  const double c2 = std::cos(2 * u), s2 = std::sin(2 * u);
  const double latitude_rad = u + o.cus_rad * s2 + o.cuc_rad * c2;
  const double r_m =
      o.a_m * (1 - o.eccentricity * cos_e) + o.crs_m * s2 + o.crc_m * c2;
  const double i_rad =
      o.i0_rad + o.idot_rad_per_s * t_s + o.cis_rad * s2 + o.cic_rad * c2;
  const double node_rad =
      o.node_rad + (o.node_rate_rad_per_s - o.earth_rate_rad_per_s) * t_s;
  const double x = r_m * std::cos(latitude_rad);
  const double y = r_m * std::sin(latitude_rad);
  const double cn = std::cos(node_rad), sn = std::sin(node_rad);
  const double ci = std::cos(i_rad), si = std::sin(i_rad);
  return {x * cn - y * ci * sn, x * sn + y * ci * cn, y * si};
}

Motion motion_of(const Elements& o, double t_s) {
  // The third derivative is below 1e-4 m/s^3: half a second is near enough.
  constexpr double kHalfS = 0.5;
  const Ecef before = position_of(o, t_s - kHalfS);
  const Ecef after = position_of(o, t_s + kHalfS);
  return {position_of(o, t_s), 1 / (2 * kHalfS) * (after - before)};
}

double relativity_s(const Elements& o, double gm, double t_s) {
  const double e_rad = eccentric_anomaly(mean_anomaly(o, t_s), o.eccentricity);
  return -2 * std::sqrt(gm * o.a_m) * o.eccentricity * std::sin(e_rad) /
         (kSpeedOfLightMps * kSpeedOfLightMps);
}

IntegratedOrbit::IntegratedOrbit(const Motion& at_zero,
                                 double from_s,
                                 double to_s) {
  const Ecef& p = at_zero.position_m;
  const Ecef& v = at_zero.velocity_mps;
  const Node zero{{p.x_m, p.y_m, p.z_m},
                  {v.x_m, v.y_m, v.z_m},
                  acceleration({p.x_m, p.y_m, p.z_m}, {v.x_m, v.y_m, v.z_m})};
  integrate(zero, std::min(from_s, 0.0), true);
  std::reverse(nodes_.begin(), nodes_.end());
  from_s_ = -kNodeS * static_cast<double>(nodes_.size());
  nodes_.push_back(zero);
  integrate(zero, std::max(to_s, 0.0), false);
}

// Appends nodes up to and beyond to_s, the first left out.
void IntegratedOrbit::integrate(Node node, double to_s, bool backwards) {
  const double h = backwards ? -kStepS : kStepS;
  const auto count = static_cast<int>(std::ceil(std::abs(to_s) / kNodeS)) + 1;
  for (int i = 0; i < count; ++i) {
    for (int k = 0; k < static_cast<int>(kNodeS / kStepS); ++k) {
      step(node.p, node.v, h);
    }
    node.a = acceleration(node.p, node.v);
    nodes_.push_back(node);
  }
}

Motion IntegratedOrbit::motion(double t_s) const {
  const double last = static_cast<double>(nodes_.size() - 2);
  const double at = std::clamp((t_s - from_s_) / kNodeS, 0.0, last + 1);
  const double floor = std::min(std::floor(at), last);
  const Node& a = nodes_[static_cast<std::size_t>(floor)];
  const Node& b = nodes_[static_cast<std::size_t>(floor) + 1];
  const double u = at - floor, h = kNodeS;
  Vec p{}, v{};
  for (std::size_t i = 0; i < 3; ++i) {
    // Coefficients of the quintic in u = 0 .. 1.
    const double c1 = a.v[i] * h, c2 = a.a[i] * h * h / 2;
    const double d = b.p[i] - a.p[i] - c1 - c2;
    const double dv = b.v[i] * h - c1 - 2 * c2;
    const double da = b.a[i] * h * h - 2 * c2;
    const double c3 = 10 * d - 4 * dv + da / 2;
    const double c4 = -15 * d + 7 * dv - da;
    const double c5 = 6 * d - 3 * dv + da / 2;
    p[i] = a.p[i] + u * (c1 + u * (c2 + u * (c3 + u * (c4 + u * c5))));
    v[i] = (c1 + u * (2 * c2 + u * (3 * c3 + u * (4 * c4 + u * 5 * c5)))) / h;
  }
  return {{p[0], p[1], p[2]}, {v[0], v[1], v[2]}};
}

}  // namespace stillpoint::simulate
