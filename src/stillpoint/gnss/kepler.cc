// Kepler sets: IS-GPS-200 tables 20-IV and 30-II (with rates of the semi-major
// axis and of the mean motion), BDS-SIS-ICD for geostationary satellites.
#include <cmath>
#include <numbers>

#include "stillpoint/core/check.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/gnss/usability.h"

namespace stillpoint {
namespace {

struct EarthModel {
  double mu_m3_per_s2;
  double rotation_rad_per_s;
  double f_s_per_sqrt_m;  // -2 sqrt(mu) / c^2
  double week_offset_s;   // system's time minus GPST
};

// Shared checks section 3.1. NavIC: as GPS (IRNSS ICD, from memory).
constexpr EarthModel kGpsModel{
    3.986005e14, 7.2921151467e-5, -4.442807633e-10, 0};
constexpr EarthModel kGalileoModel{
    3.986004418e14, 7.2921151467e-5, -4.442807309e-10, 0};
constexpr EarthModel kBeidouModel{
    3.986004418e14, 7.2921150e-5, -4.442807309e-10, -14};

const EarthModel& model_of(System system) {
  // The other two have state vectors.
  STILLPOINT_CHECK(system != System::kGlonass && system != System::kSbas);
  switch (system) {
    case System::kGalileo:
      return kGalileoModel;
    case System::kBeidou:
      return kBeidouModel;
    default:
      return kGpsModel;
  }
}

// D2 comes from geostationary satellites only; the number counts because
// older files do not say which message a record was.
bool is_beidou_geo(const KeplerEphemeris& e) {
  const bool by_number =
      (e.sat.number >= 1 && e.sat.number <= 5) || e.sat.number >= 59;
  return e.sat.system == System::kBeidou && by_number &&
         (e.message == NavMessage::kD1 || e.message == NavMessage::kD2);
}

double eccentric_anomaly(double m_rad, double e) {
  // Newton; from E = M + e sin M three steps reach the last bit for e < 0.1.
  double anomaly = m_rad + e * std::sin(m_rad);
  for (int i = 0; i < 12; ++i) {
    const double step =
        (anomaly - e * std::sin(anomaly) - m_rad) / (1 - e * std::cos(anomaly));
    anomaly -= step;
    if (std::abs(step) < 1e-13) {
      break;
    }
  }
  return anomaly;
}

// Motion in the orbital plane: x along the node, and its inclination.
struct InPlane {
  double x_m, y_m, vx_mps, vy_mps;
  double incl_rad, incl_rate_rad_per_s;
  double sin_anomaly;  // of the eccentric anomaly
};

InPlane in_plane(const KeplerEphemeris& e, double tk, double mu) {
  const double a0 = e.sqrt_a_sqrt_m * e.sqrt_a_sqrt_m;
  const double a = a0 + e.a_dot_m_per_s * tk;
  const double n0 = std::sqrt(mu / (a0 * a0 * a0)) + e.delta_n_rad_per_s;
  const double m = e.m0_rad + (n0 + 0.5 * e.delta_n_dot_rad_per_s2 * tk) * tk;
  const double m_rate = n0 + e.delta_n_dot_rad_per_s2 * tk;
  const double ecc = e.eccentricity;
  const double big_e = eccentric_anomaly(m, ecc);
  const double sin_e = std::sin(big_e);
  const double cos_e = std::cos(big_e);
  const double q = 1 - ecc * cos_e;
  const double e_rate = m_rate / q;
  const double root = std::sqrt(1 - ecc * ecc);

  // Argument of latitude and its second harmonics.
  const double phi = std::atan2(root * sin_e, cos_e - ecc) + e.omega_rad;
  const double phi_rate = root * e_rate / q;
  const double s2 = std::sin(2 * phi);
  const double c2 = std::cos(2 * phi);
  const double u = phi + e.cus_rad * s2 + e.cuc_rad * c2;
  const double r = a * q + e.crs_m * s2 + e.crc_m * c2;
  const double u_rate = phi_rate * (1 + 2 * (e.cus_rad * c2 - e.cuc_rad * s2));
  const double r_rate = e.a_dot_m_per_s * q + a * ecc * sin_e * e_rate +
                        2 * phi_rate * (e.crs_m * c2 - e.crc_m * s2);
  const double sin_u = std::sin(u);
  const double cos_u = std::cos(u);

  InPlane p{};
  p.x_m = r * cos_u;
  p.y_m = r * sin_u;
  p.vx_mps = r_rate * cos_u - p.y_m * u_rate;
  p.vy_mps = r_rate * sin_u + p.x_m * u_rate;
  p.incl_rad =
      e.i0_rad + e.idot_rad_per_s * tk + e.cis_rad * s2 + e.cic_rad * c2;
  p.incl_rate_rad_per_s =
      e.idot_rad_per_s + 2 * phi_rate * (e.cis_rad * c2 - e.cic_rad * s2);
  p.sin_anomaly = sin_e;
  return p;
}

struct Motion {
  Ecef position, velocity;
};

// Turns the plane by inclination and node.
Motion out_of_plane(const InPlane& p, double node_rad, double node_rate) {
  const double so = std::sin(node_rad);
  const double co = std::cos(node_rad);
  const double si = std::sin(p.incl_rad);
  const double ci = std::cos(p.incl_rad);
  // The in-plane y axis laid into the equator, and its rate.
  const double yc = p.y_m * ci;
  const double yc_rate = p.vy_mps * ci - p.y_m * si * p.incl_rate_rad_per_s;
  Motion m;
  m.position = {p.x_m * co - yc * so, p.x_m * so + yc * co, p.y_m * si};
  m.velocity = {p.vx_mps * co - yc_rate * so - m.position.y_m * node_rate,
                p.vx_mps * so + yc_rate * co + m.position.x_m * node_rate,
                p.vy_mps * si + p.y_m * ci * p.incl_rate_rad_per_s};
  return m;
}

// BDS-SIS-ICD B1I 5.2.4.12: Rz(Omega_e tk) Rx(-5 deg), and the derivative of
// the turning part.
Motion geo_to_ecef(const Motion& m, double tk, double rotation_rad_per_s) {
  constexpr double kTilt = 5.0 * std::numbers::pi / 180.0;
  const double st = std::sin(kTilt);
  const double ct = std::cos(kTilt);
  const auto tilt = [st, ct](const Ecef& v) {
    return Ecef{v.x_m, ct * v.y_m - st * v.z_m, st * v.y_m + ct * v.z_m};
  };
  const double sz = std::sin(rotation_rad_per_s * tk);
  const double cz = std::cos(rotation_rad_per_s * tk);
  const auto turn = [sz, cz](const Ecef& v) {
    return Ecef{cz * v.x_m + sz * v.y_m, cz * v.y_m - sz * v.x_m, v.z_m};
  };
  Motion out;
  out.position = turn(tilt(m.position));
  out.velocity = turn(tilt(m.velocity));
  out.velocity.x_m += rotation_rad_per_s * out.position.y_m;
  out.velocity.y_m -= rotation_rad_per_s * out.position.x_m;
  return out;
}

}  // namespace

SatelliteState evaluate(const KeplerEphemeris& e, GnssTime t) {
  const EarthModel& model = model_of(e.sat.system);
  const double tk = (t - e.toe).s;
  const double toe_sow = (e.toe + Duration{model.week_offset_s}).tow_s();
  const double rotation = model.rotation_rad_per_s;

  const InPlane plane = in_plane(e, tk, model.mu_m3_per_s2);
  Motion motion;
  if (is_beidou_geo(e)) {
    const double node =
        e.omega0_rad + e.omega_dot_rad_per_s * tk - rotation * toe_sow;
    motion = geo_to_ecef(
        out_of_plane(plane, node, e.omega_dot_rad_per_s), tk, rotation);
  } else {
    const double node_rate = e.omega_dot_rad_per_s - rotation;
    motion = out_of_plane(
        plane, e.omega0_rad + node_rate * tk - rotation * toe_sow, node_rate);
  }

  SatelliteState s;
  s.position_m = motion.position;
  s.velocity_mps = motion.velocity;
  const double dt = (t - e.toc).s;
  s.clock_s = e.af0_s + (e.af1_s_per_s + e.af2_s_per_s2 * dt) * dt;
  s.relativity_s = model.f_s_per_sqrt_m * e.eccentricity * e.sqrt_a_sqrt_m *
                   plane.sin_anomaly;
  s.range_sigma_m = range_sigma_m(e);
  s.issue = e.iode;
  return s;
}

}  // namespace stillpoint
