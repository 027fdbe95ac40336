#include "stillpoint/models/yaw_turns.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kRadPerDeg = kPi / 180;
constexpr double kEarthRadiusM = 6'378'137;
constexpr double kSunHalfWidthRad = 0.2666 * kRadPerDeg;
// Beta changes by at most 0.04 degrees in an hour, the longest turn: below
// this its sign at the turn's start is not known.
constexpr double kSignKnownRad = 0.05 * kRadPerDeg;
// Keeps the nominal law's jump at beta = 0 on the right side of noon.
constexpr double kLeastTanBeta = 1e-9;

// Fastest yaw [rad/s]. Kouba 2009 for IIA (fleet mean; single satellites 0.10
// to 0.13 deg/s) and IIR; Dilssner 2010 for IIF; Dilssner et al. 2011 for
// GLONASS-M; all from memory. GPS III and QZS-2: from memory, no paper.
constexpr double kRateIIA = 0.12 * kRadPerDeg;
constexpr double kRateIIR = 0.20 * kRadPerDeg;
constexpr double kRateIIF = 0.11 * kRadPerDeg;
constexpr double kRateIII = 0.10 * kRadPerDeg;
constexpr double kRateGlonassM = 0.25 * kRadPerDeg;
constexpr double kRateQzss2 = 0.055 * kRadPerDeg;
// Bias of the Sun sensors: with beta between 0 and it the noon turn goes the
// other way round. Kouba 2009; Dilssner 2010; from memory.
constexpr double kBiasIIA = 0.5 * kRadPerDeg;
constexpr double kBiasIIF = -0.7 * kRadPerDeg;
constexpr double kRecoveryIIAS = 1800;

// A passage with what the laws need of it.
struct Angles {
  explicit Angles(const Passage& p)
      : tan_beta(std::max(std::tan(std::abs(p.beta_rad)), kLeastTanBeta)) {}
  [[nodiscard]] double nominal(double orbit_rad) const {
    return std::atan2(std::sin(orbit_rad), tan_beta);
  }
  double tan_beta;
};

// Nominal until the yaw rate reaches the limit, then at the limit until the
// nominal yaw is caught up. `reversed`: the long way round.
Turn turn_late(const Passage& p, double rate_radps, bool reversed) {
  const Angles angles(p);
  const double t = angles.tan_beta;
  const double ratio = rate_radps / p.orbit_rate_radps;
  // The rate t cos u / (sin^2 u + t^2) equals the ratio: a quadratic in cos u.
  const double cosine =
      (std::sqrt(t * t + 4 * ratio * ratio * (1 + t * t)) - t) / (2 * ratio);
  const double sine2 = t * cosine / ratio - t * t;
  if (sine2 <= 0) {
    return {};
  }
  const double start_rad = -std::asin(std::sqrt(std::min(sine2, 1.0)));
  const double ramp_rad = ratio * (p.orbit_rad - start_rad);
  if (ramp_rad <= 0) {
    return {};
  }
  const double from_rad = angles.nominal(start_rad);
  const double gap_rad = angles.nominal(p.orbit_rad) - from_rad;
  if (ramp_rad >= (reversed ? 2 * kPi - gap_rad : gap_rad)) {
    return {};
  }
  return {.offset_rad = from_rad + (reversed ? -ramp_rad : ramp_rad),
          .turning = true,
          .uncertain = reversed};
}

// At the limit and so timed that noon (or midnight) is its middle.
Turn turn_centred(const Passage& p, double rate_radps) {
  const double ramp_rad = rate_radps / p.orbit_rate_radps * p.orbit_rad;
  const double nominal_rad = Angles(p).nominal(p.orbit_rad);
  if (std::abs(ramp_rad) >= std::abs(nominal_rad)) {
    return {};
  }
  return {.offset_rad = ramp_rad, .turning = true};
}

// Where the shadow begins and ends, as an angle from midnight; nothing where
// the orbit misses it.
std::optional<double> shadow_edge(const Passage& p) {
  if (p.radius_m <= kEarthRadiusM) {
    return std::nullopt;
  }
  const double cosine =
      std::cos(umbra_half_width_rad(p.radius_m)) / std::cos(p.beta_rad);
  if (cosine >= 1) {
    return std::nullopt;
  }
  return std::acos(cosine);
}

// IIF in shadow: evenly from the nominal yaw of entry to that of exit.
Turn turn_evenly(const Passage& p) {
  const auto edge_rad = shadow_edge(p);
  if (!edge_rad || std::abs(p.orbit_rad) >= *edge_rad) {
    return {};
  }
  return {
      .offset_rad = Angles(p).nominal(*edge_rad) * (p.orbit_rad / *edge_rad),
      .turning = true};
}

// GLONASS-M in shadow: at the limit to the exit's nominal yaw, which is held.
Turn turn_and_wait(const Passage& p, double rate_radps) {
  const auto edge_rad = shadow_edge(p);
  if (!edge_rad || std::abs(p.orbit_rad) >= *edge_rad) {
    return {};
  }
  const double out_rad = Angles(p).nominal(*edge_rad);
  const double ramp_rad =
      rate_radps / p.orbit_rate_radps * (p.orbit_rad + *edge_rad);
  return {.offset_rad = std::min(ramp_rad - out_rad, out_rad), .turning = true};
}

// IIA: spins in shadow with growing yaw whatever beta's sign, then takes the
// shorter way back to nominal; that way is a guess.
Turn turn_spinning(const Passage& p, double rate_radps) {
  const auto edge_rad = shadow_edge(p);
  if (!edge_rad || p.orbit_rad <= -*edge_rad) {
    return {};
  }
  const Angles angles(p);
  const double ratio = rate_radps / p.orbit_rate_radps;
  const double spin = p.beta_rad < 0 ? -ratio : ratio;
  const double out_rad = angles.nominal(*edge_rad);
  const double since_rad = p.orbit_rad - *edge_rad;
  if (since_rad <= 0) {
    return {.offset_rad = spin * (p.orbit_rad + *edge_rad) - out_rad,
            .turning = true};
  }
  const double left_rad = 2 * *edge_rad * spin - out_rad;
  const double way_rad = std::remainder(out_rad - left_rad, 2 * kPi);
  const double sign = way_rad < 0 ? -1 : 1;
  const double gap_rad =
      sign * (way_rad + angles.nominal(p.orbit_rad) - out_rad);
  Turn turn{.uncertain = since_rad / p.orbit_rate_radps < kRecoveryIIAS};
  if (ratio * since_rad < gap_rad) {
    turn.offset_rad = left_rad + sign * ratio * since_rad;
    turn.turning = true;
  }
  return turn;
}

// Galileo IOV: in a zone of 15 by 2 degrees the Sun's part across the orbit is
// raised smoothly to that of 2 degrees.
Turn turn_by_auxiliary_sun(const Passage& p) {
  constexpr double kSineAlong = 0.25881904510252074;    // 15 degrees
  constexpr double kSineAcross = 0.034899496702500969;  // 2 degrees
  const double across = std::sin(std::abs(p.beta_rad));
  const double along = std::cos(p.beta_rad) * std::sin(p.orbit_rad);
  if (across >= kSineAcross || std::abs(along) >= kSineAlong) {
    return {};
  }
  const double auxiliary =
      (kSineAcross + across) / 2 +
      (kSineAcross - across) / 2 * std::cos(kPi * along / kSineAlong);
  return {.offset_rad = std::atan2(along, auxiliary), .turning = true};
}

// Galileo FOC: a cosine in time between the nominal yaws 10 degrees before and
// after; 5656 s is twice the time those 20 degrees take, within 0.4 %.
Turn turn_by_cosine(const Passage& p) {
  constexpr double kBetaRad = 4.1 * kRadPerDeg;
  constexpr double kOrbitRad = 10 * kRadPerDeg;
  constexpr double kPeriodS = 5656;
  if (std::abs(p.beta_rad) >= kBetaRad || std::abs(p.orbit_rad) >= kOrbitRad) {
    return {};
  }
  const double since_s = (p.orbit_rad + kOrbitRad) / p.orbit_rate_radps;
  return {.offset_rad = -Angles(p).nominal(kOrbitRad) *
                        std::cos(2 * kPi / kPeriodS * since_s),
          .turning = true};
}

// BeiDou-3: the nominal law with a beta that is blended into 3 degrees. The
// blend is cut off 20 degrees from noon, where it moves the yaw by 0.01.
Turn turn_by_larger_beta(const Passage& p) {
  constexpr double kBetaRad = 3 * kRadPerDeg;
  constexpr double kOrbitRad = 20 * kRadPerDeg;
  constexpr double kNarrowness = 80'000;
  const double beta_rad = std::abs(p.beta_rad);
  if (beta_rad >= kBetaRad || std::abs(p.orbit_rad) >= kOrbitRad) {
    return {};
  }
  const double sine = std::sin(p.orbit_rad);
  const double share = 1 / (1 + kNarrowness * sine * sine * sine * sine);
  const double larger_rad = beta_rad + share * (kBetaRad - beta_rad);
  return {.offset_rad = std::atan2(sine, std::tan(larger_rad)),
          .turning = true};
}

Turn turn_of(YawHabit habit, const Passage& p) {
  switch (habit) {
    case YawHabit::kGpsIIA:
      return p.noon ? turn_late(
                          p, kRateIIA, p.beta_rad > 0 && p.beta_rad < kBiasIIA)
                    : turn_spinning(p, kRateIIA);
    case YawHabit::kGpsIIR:
      return turn_late(p, kRateIIR, false);
    case YawHabit::kGpsIIF:
      return p.noon ? turn_late(
                          p, kRateIIF, p.beta_rad < 0 && p.beta_rad > kBiasIIF)
                    : turn_evenly(p);
    case YawHabit::kGpsIII: {
      Turn turn = turn_late(p, kRateIII, false);
      turn.uncertain = turn.turning;
      return turn;
    }
    case YawHabit::kGlonassM:
      return p.noon ? turn_centred(p, kRateGlonassM)
                    : turn_and_wait(p, kRateGlonassM);
    case YawHabit::kGalileoIov:
      return turn_by_auxiliary_sun(p);
    case YawHabit::kGalileoFoc:
      return turn_by_cosine(p);
    case YawHabit::kBeidou3:
      return turn_by_larger_beta(p);
    case YawHabit::kQzss2: {
      Turn turn = turn_centred(p, kRateQzss2);
      turn.uncertain = turn.turning;
      return turn;
    }
    case YawHabit::kNominal:
    case YawHabit::kBeidouMeoIgso:
    case YawHabit::kBeidouGeo:
    case YawHabit::kQzss1:
    case YawHabit::kOrbitNormal:
      return {};
  }
  return {};
}

}  // namespace

double umbra_half_width_rad(double radius_m) {
  return std::asin(kEarthRadiusM / radius_m) - kSunHalfWidthRad;
}

Turn yaw_turn(YawHabit habit, const Passage& passage) {
  if (std::abs(passage.beta_rad) > kTurnBetaRad ||
      std::abs(passage.orbit_rad) > kTurnOrbitRad) {
    return {};
  }
  Turn turn = turn_of(habit, passage);
  if (turn.turning && std::abs(passage.beta_rad) < kSignKnownRad) {
    turn.uncertain = true;
  }
  return turn;
}

}  // namespace stillpoint::models
