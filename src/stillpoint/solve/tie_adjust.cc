#include "stillpoint/solve/tie_adjust.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::solve {
namespace {

using math::RowEntry;
using math::UnknownId;

// So far may position and ambiguities be off: weak enough not to matter.
constexpr double kPositionPriorM = 30, kAmbiguityPriorM = 30;
constexpr double kZenithStepS = 119;
// The ionosphere's difference wanders about zero with this memory [s] (chosen;
// travelling disturbances last 10 to 60 minutes, common practice, no source).
constexpr double kIonosphereS = 1200;
// It moves at steps in which it wanders by no more than this, but not below
// 29 s and not beyond two minutes.
constexpr double kIonosphereStepM = 0.0015;
// The slope that all satellites share changes with the hour of the day.
constexpr double kSlopeS = 5400, kSlopeStepS = 119;
constexpr double kFreeM = 30;
constexpr double kMilestoneS = 3600;
// Thin shell at this height; ionosphere at the zenith of the pierce point.
constexpr double kShellM = 450'000, kEarthM = 6'371'000;

double square(double v) {
  return v * v;
}

}  // namespace

double ionosphere_factor(const TieSight& s, double wavelength_m) {
  constexpr double kGpsFirstM = kSpeedOfLightMps / 1575.42e6;
  const double cosine = std::cos(static_cast<double>(s.elevation_rad));
  const double ratio = kEarthM / (kEarthM + kShellM) * cosine;
  return square(wavelength_m / kGpsFirstM) / std::sqrt(1 - ratio * ratio);
}

double channel_of(const TieGroup& group, double wavelength_m) {
  if (group.system != System::kGlonass) {
    return 0;
  }
  // Carriers of channel 0 and their spacing [Hz].
  //   source   GLONASS ICD 5.1 (2008), table 3.1
  const double hz = kSpeedOfLightMps / wavelength_m;
  switch (group.here.band) {
    case '1':
      return std::round((hz - 1602e6) / 562.5e3);
    case '2':
      return std::round((hz - 1246e6) / 437.5e3);
    default:
      return 0;
  }
}

void TieAdjuster::begin(const TieNoise& noise, const TieAir& air) {
  noise_ = noise;
  air_ = air;
  normals_.clear();
  before_hold_.reset();
  known_.clear();
  counts_ = {};
  zenith_ = {};
  zenith_there_ = {};
  slope_ = {};
  ionosphere_.assign(static_cast<std::size_t>(SatId::kIndexCount), {});
  ambiguity_.assign(session_.arcs.size(), kNoUnknown);
  has_ambiguity_.assign(session_.arcs.size(), false);
  zenith_at_.assign(session_.epochs.size(), kNoUnknown);
  zenith_there_at_.assign(session_.epochs.size(), kNoUnknown);
  slope_at_.assign(session_.epochs.size(), kNoUnknown);
  ionosphere_at_.assign(session_.sights.size(), kNoUnknown);
  clocks_.assign(session_.epochs.size() * session_.groups.size(), {});
  last_epoch_.assign(session_.arcs.size(), 0);
  for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
    if (!session_.adjusted(k)) {
      continue;
    }
    for (const TieSight& s : session_.sights_of(session_.epochs[k])) {
      if (s.modelled) {
        for (const TieRow& r : session_.rows_of(s)) {
          last_epoch_[r.arc] = k;
        }
      }
    }
  }
  for (UnknownId& id : position_) {
    id = normals_.add_unknown();
    normals_.add_prior(id, 0, 1 / square(kPositionPriorM));
  }
  channels_.assign(session_.groups.size(), kNoUnknown);
  for (std::size_t g = 0; g < session_.groups.size(); ++g) {
    if (session_.groups[g].system == System::kGlonass) {
      channels_[g] = normals_.add_unknown();
      normals_.add_prior(channels_[g], 0, 1 / square(air_.channel_m));
    }
  }
}

void TieAdjuster::step_walk(Wander& wander, double prior_m, GnssTime t) {
  if (prior_m <= 0) {
    return;
  }
  if (wander.id == kNoUnknown) {
    wander = {normals_.add_unknown(), t};
    normals_.add_prior(wander.id, 0, 1 / square(prior_m));
    return;
  }
  const double dt_s = (t - wander.time).s;
  if (dt_s < kZenithStepS) {
    return;
  }
  const UnknownId next = normals_.add_unknown();
  normals_.add_step(wander.id, next, square(air_.zenith_walk_m) * dt_s / 3600);
  normals_.eliminate(wander.id);
  wander = {next, t};
}

void TieAdjuster::step_zenith(GnssTime t) {
  step_walk(zenith_, air_.zenith_m, t);
  step_walk(zenith_there_, air_.zenith_there_m, t);
}

void TieAdjuster::step_slope(GnssTime t) {
  if (air_.ionosphere != TieIonosphere::kConstrained) {
    return;
  }
  if (slope_.id == kNoUnknown) {
    slope_ = {normals_.add_unknown(), t};
    normals_.add_prior(slope_.id, 0, 1 / square(air_.slope_m));
    return;
  }
  const double dt_s = (t - slope_.time).s;
  if (dt_s < kSlopeStepS) {
    return;
  }
  const double factor = std::exp(-dt_s / kSlopeS);
  const UnknownId next = normals_.add_unknown();
  normals_.add_step(
      slope_.id, next, square(air_.slope_m) * (1 - square(factor)), factor);
  normals_.eliminate(slope_.id);
  slope_ = {next, t};
}

UnknownId TieAdjuster::ionosphere_of(SatId sat, GnssTime t) {
  if (air_.ionosphere == TieIonosphere::kNone) {
    return kNoUnknown;
  }
  Wander& now = ionosphere_[static_cast<std::size_t>(sat.index())];
  const bool free = air_.ionosphere == TieIonosphere::kFree;
  const double sigma_m = free ? kFreeM : air_.ionosphere_m;
  if (now.id == kNoUnknown || free) {
    if (now.id != kNoUnknown && normals_.is_active(now.id)) {
      normals_.eliminate(now.id);
    }
    now = {normals_.add_unknown(), t};
    normals_.add_prior(now.id, 0, 1 / square(sigma_m));
    return now.id;
  }
  const double dt_s = (t - now.time).s;
  if (dt_s < std::clamp(kIonosphereS / 2 * square(kIonosphereStepM / sigma_m),
                        29.0,
                        119.0)) {
    return now.id;
  }
  const double factor = std::exp(-dt_s / kIonosphereS);
  const UnknownId next = normals_.add_unknown();
  normals_.add_step(
      now.id, next, square(sigma_m) * (1 - square(factor)), factor);
  normals_.eliminate(now.id);
  now = {next, t};
  return next;
}

UnknownId TieAdjuster::ambiguity_of(std::uint32_t arc) {
  if (!has_ambiguity_[arc]) {
    has_ambiguity_[arc] = true;
    ambiguity_[arc] = normals_.add_unknown();
    normals_.add_prior(ambiguity_[arc], 0, 1 / square(kAmbiguityPriorM));
  }
  return ambiguity_[arc];
}

void TieAdjuster::add_sight(std::size_t k, const TieSight& s) {
  const auto rows = session_.rows_of(s);
  const bool any = std::any_of(rows.begin(), rows.end(), [](const TieRow& r) {
    return r.phase_used() || r.code_used();
  });
  if (!any) {
    return;
  }
  const auto index = static_cast<std::size_t>(&s - session_.sights.data());
  const UnknownId ionosphere = ionosphere_of(s.sat, session_.epochs[k].time);
  ionosphere_at_[index] = ionosphere;
  for (const TieRow& r : rows) {
    GroupClocks& clocks = clocks_[k * session_.groups.size() + r.group];
    RowEntry entries[10] = {{position_[0], -s.to_satellite.x_m},
                            {position_[1], -s.to_satellite.y_m},
                            {position_[2], -s.to_satellite.z_m}};
    std::size_t count = 3;
    if (zenith_.id != kNoUnknown) {
      entries[count++] = {zenith_.id, static_cast<double>(s.wet_here)};
    }
    if (zenith_there_.id != kNoUnknown) {
      entries[count++] = {zenith_there_.id,
                          static_cast<double>(s.wet_here - s.wet_there)};
    }
    const std::size_t ionosphere_place = count;
    const double delay = ionosphere_factor(s, r.wavelength_m);
    if (ionosphere != kNoUnknown) {
      entries[count++] = {ionosphere, delay};
    }
    if (slope_.id != kNoUnknown) {
      entries[count++] = {slope_.id, delay};
    }
    if (r.code_used()) {
      if (clocks.code == kNoUnknown) {
        clocks.code = normals_.add_unknown();
      }
      entries[count] = {clocks.code, 1};
      normals_.add_row(
          std::span(entries, count + 1),
          r.code_m,
          tie_code_weight(s, r, noise_, without_, session_.step_s()));
      ++counts_.code_rows;
    }
    if (r.phase_used()) {
      if (clocks.phase == kNoUnknown) {
        clocks.phase = normals_.add_unknown();
      }
      for (std::size_t i = ionosphere_place; i < count; ++i) {
        entries[i].coefficient = -delay;
      }
      entries[count++] = {clocks.phase, 1};
      const bool known = !known_.empty() && known_[r.arc];
      if (!known) {
        entries[count++] = {ambiguity_of(r.arc), 1};
      }
      if (channels_[r.group] != kNoUnknown) {
        entries[count++] = {
            channels_[r.group],
            channel_of(session_.groups[r.group], r.wavelength_m)};
      }
      normals_.add_row(
          std::span(entries, count),
          known ? r.phase_m - known_m_[r.arc] : r.phase_m,
          tie_phase_weight(s, r, noise_, without_, session_.step_s()));
      ++counts_.phase_rows;
    }
  }
}

void TieAdjuster::add_epoch(std::size_t k) {
  const TieEpoch& epoch = session_.epochs[k];
  step_zenith(epoch.time);
  zenith_at_[k] = zenith_.id;
  zenith_there_at_[k] = zenith_there_.id;
  step_slope(epoch.time);
  slope_at_[k] = slope_.id;
  for (const TieSight& s : session_.sights_of(epoch)) {
    if (s.modelled) {
      add_sight(k, s);
    }
  }
  for (std::size_t g = 0; g < session_.groups.size(); ++g) {
    const GroupClocks& clocks = clocks_[k * session_.groups.size() + g];
    for (const UnknownId id : {clocks.phase, clocks.code}) {
      if (id != kNoUnknown) {
        normals_.eliminate(id);
      }
    }
  }
}

void TieAdjuster::end_arcs(std::size_t k) {
  for (const TieSight& s : session_.sights_of(session_.epochs[k])) {
    if (!s.modelled) {
      continue;
    }
    for (const TieRow& r : session_.rows_of(s)) {
      if (has_ambiguity_[r.arc] && last_epoch_[r.arc] == k &&
          normals_.is_active(ambiguity_[r.arc])) {
        normals_.eliminate(ambiguity_[r.arc]);
      }
    }
  }
}

void TieAdjuster::note_milestone(std::size_t k) {
  const GnssTime start = session_.epochs.front().time;
  const double since_s = (session_.epochs[k].time - start).s;
  // Since the last one that took part.
  const double before_s =
      k < session_.stride
          ? 0
          : (session_.epochs[k - session_.stride].time - start).s;
  if (std::floor(since_s / kMilestoneS) <= std::floor(before_s / kMilestoneS) &&
      k + session_.stride < session_.epochs.size()) {
    return;
  }
  Eigen::VectorXd values;
  Eigen::MatrixXd covariance;
  if (normals_.solve(position_, values, covariance)) {
    counts_.milestones.push_back({k, values, covariance});
  }
}

std::optional<TieAdjuster::Parts> TieAdjuster::run_parts(
    const TieNoise& noise,
    const TieAir& air,
    std::size_t count,
    const std::vector<bool>& known,
    const std::vector<double>& ambiguity_m) {
  begin(noise, air);
  known_ = known;
  known_m_ = ambiguity_m;
  std::vector<UnknownId> all(std::begin(position_), std::end(position_));
  std::size_t part = 0;
  for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
    while (part + 1 < count && k >= session_.first_of_part(part + 1, count)) {
      ++part;
      for (UnknownId& id : position_) {
        id = normals_.add_unknown();
        normals_.add_prior(id, 0, 1 / square(kPositionPriorM));
        all.push_back(id);
      }
    }
    if (session_.adjusted(k)) {
      add_epoch(k);
      end_arcs(k);
    }
  }
  Parts out;
  if (!normals_.solve(all, out.dx_m, out.formal_m2)) {
    return std::nullopt;
  }
  return out;
}

bool TieAdjuster::run(const TieNoise& noise,
                      const TieAir& air,
                      bool for_integers) {
  begin(noise, air);
  for (std::size_t k = 0; k < session_.epochs.size(); ++k) {
    if (!session_.adjusted(k)) {
      continue;
    }
    add_epoch(k);
    if (for_integers) {
      note_milestone(k);
    } else {
      end_arcs(k);
    }
  }
  return counts_.phase_rows + counts_.code_rows > 0;
}

}  // namespace stillpoint::solve
