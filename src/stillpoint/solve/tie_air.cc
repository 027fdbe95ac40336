// How the difference of the air between the ends is treated.
#include <algorithm>
#include <cmath>
#include <map>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/tie_state.h"

namespace stillpoint::solve {
namespace {

// Nearer than this the ends look through the same ionosphere.
constexpr double kSameIonosphereM = 300;
// Beyond this the ionosphere's difference is as good as unknown.
constexpr double kFreeIonosphereM = 150'000;
constexpr double kFloorM = 0.0005;
// One sigma of the ionosphere's difference, at the zenith on GPS band 1, per
// metre of distance: of one satellite and of what all share. A quiet day has
// about 1 mm/km, travelling disturbances and the afternoon of a strong sun five
// times that (common practice, no source).
constexpr double kUsualPerM = 5e-6, kSlopePerM = 6e-6;
constexpr double kLeastPerM = 1.5e-6, kMostPerM = 12e-6;
// How fast it changes says how large it is: a wave of an hour, the slowest that
// matters, changes by its one sigma in so many seconds. Faster ones are taken
// for larger than they are, which is the safe side. Reflections change within
// minutes and then no more: what the longer of two lags shows beyond the
// shorter is the ionosphere.
constexpr double kShortLagS = 300, kLongLagS = 600, kSizePerRateS = 600;
constexpr double kEnoughS = 1170;
constexpr double kSafety = 1.5;
constexpr std::size_t kFewestChanges = 40;
constexpr double kLowestRad = 0.35;
// One sigma of the relative zenith delay that the season's model leaves: grows
// with the root of the distance, and with the height difference, over which
// the water vapour changes by a tenth of a millimetre a metre, known to a tenth
// (our judgement; docs/integers.md has what it is worth).
constexpr double kZenithPerRootKm = 0.0007, kZenithPerHeight = 1e-5;
constexpr double kZenithWorthM = 0.0007;
// Weather: another one at some hundred kilometres.
constexpr double kZenithPerM = 1e-7, kZenithMostM = 0.1;
// From here on the ends see a satellite at elevations that differ enough for
// the delays of both to show.
constexpr double kFarM = 30'000;
// What two receivers of one model delay GLONASS's neighbouring channels apart
// by.
constexpr double kSameMakeChannelM = 0.004;

// Difference of two bands' phases of one satellite, which sees nothing but the
// ionosphere, as a delay at the zenith.
struct TwoBands {
  std::uint32_t first_arc = 0, second_arc = 0;
  std::uint32_t key = 0;  // of both groups
  double value_m = 0;
};

std::optional<TwoBands> two_bands(const TieSession& session,
                                  const TieSight& s) {
  const auto rows = session.rows_of(s);
  if (!s.modelled || rows.size() < 2 || s.elevation_rad < kLowestRad) {
    return std::nullopt;
  }
  const TieRow &a = rows[0], &b = rows[1];
  const double factor = ionosphere_factor(s, b.wavelength_m) -
                        ionosphere_factor(s, a.wavelength_m);
  return TwoBands{a.arc,
                  b.arc,
                  static_cast<std::uint32_t>(a.group) << 16 | b.group,
                  (a.phase_m - b.phase_m) / factor};
}

// Robust spread of the changes over about a lag, less what all satellites of a
// group have in common [m]; nothing: too few.
std::optional<double> change_m(const TieSession& session, double lag_s) {
  const auto steps = static_cast<std::size_t>(
      std::max(1.0, std::round(lag_s / session.interval_s)));
  std::map<std::uint32_t, std::vector<double>> changes;
  std::vector<double> sizes;
  for (std::size_t k = steps; k < session.epochs.size(); ++k) {
    const TieEpoch& now = session.epochs[k];
    const TieEpoch& before = session.epochs[k - steps];
    if ((now.time - before.time).s > 1.2 * lag_s) {
      continue;
    }
    changes.clear();
    for (const TieSight& s : session.sights_of(now)) {
      const auto later = two_bands(session, s);
      if (!later) {
        continue;
      }
      for (const TieSight& old : session.sights_of(before)) {
        const auto sooner =
            old.sat == s.sat ? two_bands(session, old) : std::nullopt;
        if (sooner && sooner->first_arc == later->first_arc &&
            sooner->second_arc == later->second_arc) {
          changes[later->key].push_back(later->value_m - sooner->value_m);
        }
      }
    }
    for (auto& [key, values] : changes) {
      if (values.size() < 3) {
        continue;
      }
      auto sorted = values;
      const double middle = math::median_in_place(sorted);
      for (const double v : values) {
        sizes.push_back(std::abs(v - middle));
      }
    }
  }
  if (sizes.size() < kFewestChanges) {
    return std::nullopt;
  }
  return 1.4826 * math::median_in_place(sizes);
}

// One sigma at the zenith per metre, by the phases; nothing: they cannot say.
std::optional<double> seen_per_m(const TieSession& session, double length_m) {
  if (session.span_s() < kEnoughS) {
    return std::nullopt;
  }
  const auto near = change_m(session, kShortLagS);
  const auto far = change_m(session, kLongLagS);
  if (!near || !far) {
    return std::nullopt;
  }
  const double rate_mps =
      std::sqrt(std::max(0.0, *far * *far - *near * *near) /
                (kLongLagS * kLongLagS - kShortLagS * kShortLagS));
  return kSafety * rate_mps * kSizePerRateS / length_m;
}

}  // namespace

TieAir choose_air(const TieSolver::State& s) {
  TieAir air;
  if (!s.options.without.has(Term::kIonosphere) &&
      s.length_m > kSameIonosphereM) {
    air.ionosphere = s.length_m > kFreeIonosphereM
                         ? TieIonosphere::kFree
                         : TieIonosphere::kConstrained;
    const double per_m =
        std::clamp(seen_per_m(s.session, s.length_m).value_or(kUsualPerM),
                   kLeastPerM,
                   kMostPerM);
    air.ionosphere_m = std::hypot(kFloorM, per_m * s.length_m);
    air.slope_m = std::max(kSlopePerM, per_m) * s.length_m;
  }
  if (!s.options.here.receiver_type.empty() &&
      s.options.here.receiver_type == s.options.there.receiver_type) {
    air.channel_m = kSameMakeChannelM;
  }
  const double near_m = kZenithPerRootKm * std::sqrt(s.length_m / 1000);
  const double far_m = std::min(kZenithMostM, kZenithPerM * s.length_m);
  const double zenith_m = std::hypot(std::hypot(near_m, far_m),
                                     kZenithPerHeight * s.height_difference_m);
  if (!s.options.without.has(Term::kTroposphere) && zenith_m > kZenithWorthM) {
    air.zenith_m = zenith_m;
    air.zenith_walk_m = std::min(0.004, zenith_m / 2);
    air.zenith_there_m = s.length_m > kFarM ? kZenithMostM : 0;
  }
  return air;
}

}  // namespace stillpoint::solve
