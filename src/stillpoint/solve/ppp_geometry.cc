#include "stillpoint/solve/ppp_geometry.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "stillpoint/models/attitude.h"
#include "stillpoint/models/beidou_code.h"
#include "stillpoint/models/relativity.h"
#include "stillpoint/models/wind_up.h"
#include "stillpoint/solve/ppp_site.h"
#include "stillpoint/solve/sight.h"

namespace stillpoint::solve {
namespace {

// Orbit and clock of a final product where nothing is wrong with them, as
// PreciseOrbits and PreciseSource state it [m].
constexpr double kUsualOrbitM = 0.0361;

// How much longer a ray is delayed when the first coefficient of the
// hydrostatic mapping is larger by the given amount [per metre of zenith
// delay].
//
//   source   continued fraction of Herring 1992 with b = 0.0029, c = 0.062 as
//   in
//            the mapping functions of IERS Conventions (2010), ch. 9; how far
//            the day's coefficient is from the season's, one sigma: 1 % (from
//            memory)
constexpr double kFirst = 0.00125, kFirstDoubt = 1.25e-5;
double mapping_change(double sine) {
  const auto mapping = [sine](double a) {
    constexpr double kB = 0.0029, kC = 0.062;
    return (1 + a / (1 + kB / (1 + kC))) /
           (sine + a / (sine + kB / (sine + kC)));
  };
  return mapping(kFirst) - mapping(kFirst + kFirstDoubt);
}

AntennaVector in_body(const models::BodyAxes& axes, const Ecef& v) {
  return {dot(axes.x, v), dot(axes.y, v), dot(axes.z, v)};
}

class RowModel {
 public:
  RowModel(const OrbitSource& orbits,
           const PppOptions& options,
           PppSession& session,
           Counts& counts)
      : orbits_(orbits),
        options_(options),
        session_(session),
        counts_(counts),
        site_(options, session),
        antennas_(options),
        turns_(SatId::kIndexCount, 0.0) {}

  void run();
  PppModelLog log();

 private:
  void exclude(PppRow& row, Exclusion reason);
  bool row(PppRow& row, GnssTime time);
  [[nodiscard]] double code_biases_m(const PppRow& row, GnssTime t);
  [[nodiscard]] double phase_biases_m(const PppRow& row, GnssTime t) const;

  const OrbitSource& orbits_;
  const PppOptions& options_;
  PppSession& session_;
  Counts& counts_;
  PppSite site_;
  PppAntennas antennas_;
  std::vector<double> turns_;  // wind-up by satellite, last value [cycles]
  PppModelLog log_;
  std::vector<SatId> seen_;
};

void RowModel::exclude(PppRow& row, Exclusion reason) {
  row.flags |= kRowNoModel;
  ++counts_.excluded[row.sat][static_cast<std::size_t>(reason)];
}

double RowModel::code_biases_m(const PppRow& row, GnssTime t) {
  if (options_.without.has(Term::kGroupDelay)) {
    return 0;
  }
  double sum_m = 0;
  const auto add = [&](SignalCode signal, double weight) {
    const auto delay = orbits_.group_delay_s(row.sat, t, signal);
    if (!delay) {
      ++log_.unknown_biases;
      return;
    }
    sum_m += weight * kSpeedOfLightMps * *delay;
  };
  add(row.code_first, row.weight_first);
  add(row.code_second, 1 - row.weight_first);
  return sum_m;
}

double RowModel::phase_biases_m(const PppRow& row, GnssTime t) const {
  const CodePhaseBiases* biases = options_.aids.biases;
  if (biases == nullptr || options_.without.has(Term::kGroupDelay)) {
    return 0;
  }
  const auto first = biases->osb_s(row.sat, row.phase_first, true, t);
  const auto second = biases->osb_s(row.sat, row.phase_second, true, t);
  if (!first || !second) {
    return 0;
  }
  return kSpeedOfLightMps *
         (row.weight_first * *first + (1 - row.weight_first) * *second);
}

bool RowModel::row(PppRow& r, GnssTime time) {
  const GnssTime sent = time - Duration{r.code_first_m / kSpeedOfLightMps};
  const auto state = orbits_.state(r.sat, sent);
  if (!state) {
    exclude(r,
            state.error() == NoState::kUnhealthy ? Exclusion::kUnhealthy
                                                 : Exclusion::kNoOrbit);
    return false;
  }
  const TermSet& without = options_.without;
  const Sight s =
      sight_of(*state, site_.antenna_m(), !without.has(Term::kEarthRotation));
  const Enu local = rotate(site_.enu_R_ecef(), s.unit);
  const double elevation_rad = std::asin(std::clamp(local.u_m, -1.0, 1.0));
  if (elevation_rad < options_.elevation_mask_rad) {
    exclude(r, Exclusion::kBelowMask);
    return false;
  }
  const PppAntennas::Satellite& satellite = antennas_.satellite(r.sat, sent);
  if (state->centre_of_mass && satellite.pattern == nullptr &&
      antennas_.knows_satellites(sent)) {
    exclude(r, Exclusion::kNoAntenna);
    return false;
  }
  r.to_satellite = s.unit;
  r.between_m = static_cast<float>(
      std::sqrt(std::max(0.0,
                         state->range_sigma_m * state->range_sigma_m -
                             kUsualOrbitM * kUsualOrbitM)));
  r.elevation_rad = static_cast<float>(elevation_rad);
  r.azimuth_rad = static_cast<float>(std::atan2(local.e_m, local.n_m));

  double computed_m = s.range_m;
  if (!without.has(Term::kSatelliteClock)) {
    computed_m -= kSpeedOfLightMps * state->clock_s;
  }
  if (!without.has(Term::kRelativity)) {
    computed_m -= kSpeedOfLightMps * state->relativity_s;
  }
  if (!without.has(Term::kShapiro)) {
    computed_m += models::shapiro_delay_m(s.satellite_m, site_.antenna_m());
  }
  const models::MappingFactors mapping =
      site_.troposphere().mapping(elevation_rad);
  r.wet_mapping = static_cast<float>(mapping.wet);
  r.mapping_doubt_m =
      static_cast<float>(site_.troposphere().zenith_hydrostatic_m() *
                         mapping_change(std::sin(elevation_rad)));
  if (!without.has(Term::kTroposphere)) {
    computed_m += site_.troposphere().slant_m(mapping);
  }
  computed_m += antennas_.receiver_m(r, {local.n_m, local.e_m, local.u_m});

  const models::BodyAxes axes = models::satellite_axes(
      satellite.habit, s.satellite_m, state->velocity_mps, site_.sun_m());
  if (state->centre_of_mass) {
    computed_m +=
        antennas_.satellite_m(satellite, r, in_body(axes, -1.0 * s.unit));
  }
  // Biases by the time of receiving: a day's rows begin with the day.
  double code_m = computed_m + code_biases_m(r, time);
  if (r.sat.system == System::kBeidou && !without.has(Term::kBeidouCode)) {
    code_m -= site_.beidou_code_m(r, elevation_rad);
  }
  double phase_m = computed_m + phase_biases_m(r, time);
  if (!without.has(Term::kWindUp)) {
    double& turn = turns_[static_cast<std::size_t>(r.sat.index())];
    turn = models::wind_up_cyc(
        axes, s.satellite_m, site_.antenna_m(), site_.enu_R_ecef(), turn);
    phase_m += turn * r.turn_m();
  }
  const double a = r.weight_first;
  r.code_m = a * r.code_first_m + (1 - a) * r.code_second_m - code_m;
  r.phase_m = a * r.phase_first_m + (1 - a) * r.phase_second_m - phase_m;
  log_.without_antenna += state->centre_of_mass && !satellite.pattern ? 1 : 0;
  return true;
}

void RowModel::run() {
  for (PppEpoch& epoch : session_.epochs) {
    if (epoch.count == 0 || !site_.prepare(epoch.time)) {
      for (PppRow& r : session_.rows_of(epoch)) {
        r.flags |= kRowNoModel;
      }
      continue;
    }
    for (PppRow& r : session_.rows_of(epoch)) {
      r.flags = 0;
      if (row(r, epoch.time)) {
        seen_.push_back(r.sat);
      }
    }
  }
  std::sort(seen_.begin(), seen_.end());
  seen_.erase(std::unique(seen_.begin(), seen_.end()), seen_.end());
}

PppModelLog RowModel::log() {
  log_.zenith_delay_m = site_.zenith_hydrostatic_m() + site_.zenith_wet_m();
  log_.zenith_wet_m = site_.zenith_wet_m();
  log_.earth_missing = site_.earth_missing();
  log_.receiver = antennas_.receiver();
  log_.receiver_stand_in = antennas_.receiver_stand_in();
  log_.calibration_models = antennas_.models();
  log_.other_bands = antennas_.other_bands();
  for (const SatId sat : seen_) {
    const auto& found = antennas_.satellite(sat, session_.epochs.front().time);
    if (found.level == Calibration::kNone) {
      log_.no_antenna.push_back(sat);
    } else if (found.level == Calibration::kOffset) {
      log_.offset_only.push_back(sat);
    }
    if (found.days_off > 1) {
      log_.other_day.push_back(sat);
      log_.days_off = std::max(log_.days_off, found.days_off);
    }
  }
  return std::move(log_);
}

}  // namespace

PppModelLog compute_rows(const OrbitSource& orbits,
                         const PppOptions& options,
                         PppSession& session,
                         Counts& counts) {
  RowModel model(orbits, options, session, counts);
  model.run();
  return model.log();
}

}  // namespace stillpoint::solve
