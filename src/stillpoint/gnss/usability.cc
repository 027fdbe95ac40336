#include "stillpoint/gnss/usability.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/gnss/broadcast.h"

namespace stillpoint {
namespace {

constexpr double kSigmaFloorM = 0.5;
constexpr double kSigmaDefaultM = 3.0;
constexpr double kSigmaGlonassM = 5.0;
constexpr double kSigmaNoPredictionM = 10.0;

// SBAS accuracy from here up means "do not use for ranging" (index 15).
constexpr double kSbasUnusableM = 4096.0;

double floored(double accuracy_m, double otherwise_m) {
  return is_present(accuracy_m) ? std::max(accuracy_m, kSigmaFloorM)
                                : otherwise_m;
}

// Galileo: for each of E1-B (bit 0), E5a (bit 3) and E5b (bit 6) one bit of
// data validity and two of signal health; 0 and 0 is good. Health 2 ("will be
// out of service") counts as not good.
bool galileo_healthy(const KeplerEphemeris& e) {
  constexpr std::uint32_t kE1 = 0b000'000'111;
  constexpr std::uint32_t kE5a = 0b000'111'000;
  constexpr std::uint32_t kE5b = 0b111'000'000;
  const std::uint32_t used =
      e.message == NavMessage::kFnav ? (kE1 | kE5a) : (kE1 | kE5b);
  return (e.health & used) == 0;
}

bool gps_healthy(const KeplerEphemeris& e) {
  switch (e.message) {
    case NavMessage::kCnav:
      // Bits L1, L2, L5 from the top; L5 is still marked bad on purpose by
      // satellites that work.
      return (e.health & 0b110U) == 0;
    default:
      return e.health == 0;
  }
}

// QZSS LNAV: the top bit sums up L1, the next is L1 C/A; the four below stand
// for L2C, L5, L1C and L1C/B, which say nothing about the orbit and are set on
// working satellites that do not send a signal.
bool qzss_healthy(const KeplerEphemeris& e) {
  switch (e.message) {
    case NavMessage::kLnav:
      return (e.health & 0b110000U) == 0;
    case NavMessage::kCnav:
      return (e.health & 0b110U) == 0;
    default:
      return e.health == 0;
  }
}

bool is_angle(double rad) {
  // A message holds at most one turn either way.
  return std::abs(rad) <= 6.4;
}

}  // namespace

bool is_healthy(const KeplerEphemeris& e) {
  switch (e.sat.system) {
    case System::kGalileo:
      return galileo_healthy(e);
    case System::kGps:
      return gps_healthy(e);
    case System::kQzss:
      return qzss_healthy(e);
    case System::kNavic:
      // Bit 1: L5, bit 0: S band, which few receivers have.
      return (e.health & 0b10U) == 0;
    default:
      return e.health == 0;
  }
}

bool is_healthy(const StateEphemeris& e) {
  if (e.sat.system == System::kSbas) {
    const bool ranging = (static_cast<unsigned>(e.health) & 1U) == 0;
    return ranging && !(e.accuracy_m >= kSbasUnusableM);
  }
  const unsigned health = static_cast<unsigned>(e.health);
  return (health & (kGlonassBnMask | kGlonassUnhealthyL3)) == 0;
}

double validity_s(const KeplerEphemeris& e) {
  switch (e.sat.system) {
    case System::kGalileo:
      return 4 * 3600.0;
    case System::kGps:
    case System::kQzss:
      return std::clamp(e.fit_interval_s, 4 * 3600.0, 28 * 3600.0) / 2;
    default:
      return 2 * 3600.0;
  }
}

double validity_s(const StateEphemeris& e) {
  return e.sat.system == System::kGlonass ? 1800.0 : 360.0;
}

bool is_plausible(const KeplerEphemeris& e) {
  const bool shape = e.sqrt_a_sqrt_m > 4000 && e.sqrt_a_sqrt_m < 8000 &&
                     e.eccentricity >= 0 && e.eccentricity < 0.5;
  const bool angles = is_angle(e.m0_rad) && is_angle(e.omega0_rad) &&
                      is_angle(e.omega_rad) && is_angle(e.i0_rad);
  const bool rates = std::abs(e.delta_n_rad_per_s) < 1e-6 &&
                     std::abs(e.omega_dot_rad_per_s) < 1e-6 &&
                     std::abs(e.idot_rad_per_s) < 1e-6 &&
                     std::abs(e.a_dot_m_per_s) < 10 &&
                     std::abs(e.delta_n_dot_rad_per_s2) < 1e-9;
  const auto small = [](double rad) { return std::abs(rad) < 1e-2; };
  const bool harmonics = small(e.cuc_rad) && small(e.cus_rad) &&
                         small(e.cic_rad) && small(e.cis_rad) &&
                         std::abs(e.crc_m) < 1e5 && std::abs(e.crs_m) < 1e5;
  const bool clock = std::abs(e.af0_s) < 1 && std::abs(e.af1_s_per_s) < 1e-5 &&
                     std::abs(e.af2_s_per_s2) < 1e-9;
  const bool times = std::abs((e.toe - e.toc).s) <= 86'400.0;
  return shape && angles && rates && harmonics && clock && times;
}

bool is_plausible(const StateEphemeris& e) {
  const double radius = norm(e.position_m);
  const double speed = norm(e.velocity_mps);
  const double acceleration = norm(e.acceleration_mps2);
  const bool motion =
      radius > 1.5e7 && radius < 6e7 && speed < 1e4 && acceleration < 1.0;
  const bool clock = std::abs(e.clock_s) < 1 && std::abs(e.clock_rate) < 1e-5;
  return motion && clock && e.channel >= -7 && e.channel <= 13;
}

double range_sigma_m(const KeplerEphemeris& e) {
  return floored(
      e.accuracy_m,
      e.sat.system == System::kGalileo ? kSigmaNoPredictionM : kSigmaDefaultM);
}

double range_sigma_m(const StateEphemeris& e) {
  return floored(
      e.accuracy_m,
      e.sat.system == System::kGlonass ? kSigmaGlonassM : kSigmaNoPredictionM);
}

}  // namespace stillpoint
