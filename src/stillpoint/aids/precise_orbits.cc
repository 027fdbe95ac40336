#include "stillpoint/aids/precise_orbits.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "stillpoint/aids/orbit_series.h"
#include "stillpoint/gnss/epoch.h"

namespace stillpoint {
namespace {

using aids::ClockPoint;
using aids::OrbitPoint;
using aids::OrbitSample;
using aids::OrbitSeries;

// Rotation of the Earth [rad/s]. Any close value gives the same positions;
// this one goes with the satellites' own messages.
//   source   IS-GPS-200, 20.3.3.4.3
constexpr double kEarthRotationRadPerS = 7.2921151467e-5;

// What a product is worth along the line of sight [m]: about 3 cm for orbits
// and 2 cm (0.07 ns) for clocks after a solve has taken the common part away.
// From memory of published comparisons of final products.
constexpr double kOrbitSigmaM = 0.03;
constexpr double kClockSigmaM = 0.02;
// Predicted halves of ultra-rapid products: the clock decides, about 3 ns.
// From memory.
constexpr double kPredictedSigmaM = 1.0;
// Positions are printed to the millimetre: 1 mm / sqrt(12). Matters where the
// samples are amplified, at the ends.
constexpr double kPrintedSigmaM = 0.00029;

// Wander of a satellite clock over one second as random walk (white frequency
// noise) [s / sqrt(s)], where a product holds too few samples to show it: the
// Allan deviation at 1 s of a middling clock; from memory. At the middle of
// 15 minutes it makes 45 mm, of 5 minutes 26 mm.
constexpr double kUsualWander = 1e-11;

// Turns the axes about z.
Ecef turn_axes(const Ecef& v, double cosine, double sine) {
  return {cosine * v.x_m + sine * v.y_m, cosine * v.y_m - sine * v.x_m, v.z_m};
}

OrbitSample to_sample(const PreciseSample& s, GnssTime t, const Ecef& p) {
  OrbitSample sample;
  sample.time_ns = t.ns();
  sample.x_m = p.x_m;
  sample.y_m = p.y_m;
  sample.z_m = p.z_m;
  sample.clock_s = s.clock_s;
  sample.clock_event = s.clock_event;
  sample.predicted = s.predicted;
  sample.manoeuvre = s.manoeuvre;
  return sample;
}

std::int64_t interval_of(const PreciseProduct& product) {
  if (product.interval_s > 0) {
    return std::llround(product.interval_s * 1e9);
  }
  std::int64_t smallest = 0;
  for (std::size_t i = 1; i < product.epochs.size(); ++i) {
    const std::int64_t step =
        product.epochs[i].time.ns() - product.epochs[i - 1].time.ns();
    if (step > 0 && (smallest == 0 || step < smallest)) {
      smallest = step;
    }
  }
  return std::max<std::int64_t>(smallest, 1);
}

}  // namespace

struct PreciseOrbits::Store {
  std::vector<OrbitSeries> series =
      std::vector<OrbitSeries>(static_cast<std::size_t>(SatId::kIndexCount));
  std::vector<std::string> agencies;
  std::string frame_label, source;
  bool centre_of_mass = true;
  bool any = false;
  GnssTime reference;  // instant whose Earth-fixed axes the series use
  std::optional<GnssTime> first, last;

  [[nodiscard]] const OrbitSeries* find(SatId sat) const {
    const int index = sat.index();
    if (sat.number > 99 || index >= SatId::kIndexCount ||
        series[static_cast<std::size_t>(index)].empty()) {
      return nullptr;
    }
    return &series[static_cast<std::size_t>(index)];
  }
  std::uint16_t agency_index(const std::string& agency);
};

std::uint16_t PreciseOrbits::Store::agency_index(const std::string& agency) {
  const auto found = std::find(agencies.begin(), agencies.end(), agency);
  const auto index = found - agencies.begin();
  if (found == agencies.end()) {
    agencies.push_back(agency);
  }
  return static_cast<std::uint16_t>(index);
}

PreciseOrbits::PreciseOrbits() : store_(std::make_unique<Store>()) {}
PreciseOrbits::~PreciseOrbits() = default;
PreciseOrbits::PreciseOrbits(PreciseOrbits&&) noexcept = default;
PreciseOrbits& PreciseOrbits::operator=(PreciseOrbits&&) noexcept = default;

Status PreciseOrbits::add(PreciseProduct product) {
  Store& store = *store_;
  if (store.any && product.frame_label != store.frame_label) {
    return fail(ErrorCode::kMixedInput,
                "orbits in frame '" + product.frame_label + "', but those of " +
                    store.source + " are in '" + store.frame_label + "'",
                product.source,
                "give orbit files of one series: the same agency and frame");
  }
  if (store.any && product.centre_of_mass != store.centre_of_mass) {
    const auto words = [](bool centre) {
      return centre ? "the centre of mass" : "the antenna's phase centre";
    };
    return fail(ErrorCode::kMixedInput,
                std::string("orbits of ") + words(product.centre_of_mass) +
                    ", but those of " + store.source + " are of " +
                    words(store.centre_of_mass),
                product.source,
                "give orbit files of one kind");
  }
  if (!store.any) {
    store.any = true;
    store.frame_label = product.frame_label;
    store.source = product.source;
    store.centre_of_mass = product.centre_of_mass;
  }
  if (product.epochs.empty()) {
    return ok();
  }
  const auto by_time = [](const PreciseEpoch& a, const PreciseEpoch& b) {
    return a.time < b.time;
  };
  std::stable_sort(product.epochs.begin(), product.epochs.end(), by_time);
  const GnssTime first = product.epochs.front().time;
  const GnssTime last = product.epochs.back().time;
  if (!store.first) {
    store.reference = first;
  }
  store.first = store.first ? std::min(*store.first, first) : first;
  store.last = store.last ? std::max(*store.last, last) : last;

  const std::int64_t interval_ns = interval_of(product);
  const std::uint16_t agency = store.agency_index(product.agency);
  std::vector<std::vector<OrbitSample>> added(store.series.size());
  for (const PreciseEpoch& epoch : product.epochs) {
    const double angle_rad =
        kEarthRotationRadPerS * (store.reference - epoch.time).s;
    const double cosine = std::cos(angle_rad);
    const double sine = std::sin(angle_rad);
    for (const PreciseSample& s : epoch.samples) {
      const Ecef& p = s.position_m;
      if (s.sat.number > 99 || !std::isfinite(p.x_m + p.y_m + p.z_m)) {
        continue;
      }
      OrbitSample sample = to_sample(s, epoch.time, turn_axes(p, cosine, sine));
      sample.interval_ns = interval_ns;
      sample.agency = agency;
      added[static_cast<std::size_t>(s.sat.index())].push_back(sample);
    }
  }
  for (std::size_t i = 0; i < added.size(); ++i) {
    if (!added[i].empty()) {
      store.series[i].merge(added[i]);
    }
  }
  return ok();
}

tl::expected<SatelliteState, NoState> PreciseOrbits::orbit(SatId sat,
                                                           GnssTime t) const {
  return evaluate(sat, t, true);
}

tl::expected<SatelliteState, NoState> PreciseOrbits::place(SatId sat,
                                                           GnssTime t) const {
  return evaluate(sat, t, false);
}

tl::expected<SatelliteState, NoState> PreciseOrbits::evaluate(
    SatId sat, GnssTime t, bool with_clock) const {
  const OrbitSeries* const series = store_->find(sat);
  if (series == nullptr) {
    return tl::unexpected(NoState::kUnknownSatellite);
  }
  OrbitPoint point;
  if (!series->orbit_at(t.ns(), point)) {
    return tl::unexpected(NoState::kOutsideValidity);
  }
  const double angle_rad = kEarthRotationRadPerS * (t - store_->reference).s;
  const double cosine = std::cos(angle_rad);
  const double sine = std::sin(angle_rad);
  SatelliteState state;
  state.centre_of_mass = store_->centre_of_mass;
  state.position_m = turn_axes(point.position_m, cosine, sine);
  // Velocity against the rotating axes: v - omega x r.
  const Ecef v = turn_axes(point.velocity_mps, cosine, sine);
  state.velocity_mps = {v.x_m + kEarthRotationRadPerS * state.position_m.y_m,
                        v.y_m - kEarthRotationRadPerS * state.position_m.x_m,
                        v.z_m};
  // -2 r.v / c^2 with the inertial velocity; omega x r is at right angles to
  // r, so that it would not matter here.
  //   source   IS-GPS-200, 20.3.3.3.3.1
  const Ecef& r = point.position_m;
  const Ecef& v0 = point.velocity_mps;
  state.relativity_s = -2.0 *
                       (r.x_m * v0.x_m + r.y_m * v0.y_m + r.z_m * v0.z_m) /
                       (kSpeedOfLightMps * kSpeedOfLightMps);
  state.clock_s = kMissing;
  double variance = kOrbitSigmaM * kOrbitSigmaM +
                    kPrintedSigmaM * kPrintedSigmaM * point.amplification +
                    point.remainder_m * point.remainder_m;
  ClockPoint clock;
  if (with_clock && series->clock_at(t.ns(), clock)) {
    state.clock_s = clock.clock_s;
    const double wander = series->clock_wander();
    const double wander_mps =
        kSpeedOfLightMps * (std::isnan(wander) ? kUsualWander : wander);
    variance +=
        kClockSigmaM * kClockSigmaM + wander_mps * wander_mps * clock.bridge_s;
  }
  if (point.predicted || clock.predicted) {
    variance += kPredictedSigmaM * kPredictedSigmaM;
  }
  state.range_sigma_m = std::sqrt(variance);
  return state;
}

tl::expected<SatelliteState, NoState> PreciseOrbits::state(SatId sat,
                                                           GnssTime t) const {
  auto found = orbit(sat, t);
  if (found && std::isnan(found->clock_s)) {
    return tl::unexpected(NoState::kNoClock);
  }
  return found;
}

std::optional<double> PreciseOrbits::group_delay_s(SatId sat,
                                                   GnssTime /*t*/,
                                                   SignalCode signal) const {
  std::string_view codes;
  switch (sat.system) {
    case System::kGps:
      codes = "1P 1W 2P 2W";
      break;
    case System::kGlonass:
      codes = "1P 2P";
      break;
    case System::kGalileo:
      codes = "1C 1X 5Q 5X";
      break;
    case System::kBeidou:
      codes = "2I 6I";
      break;
    case System::kQzss:
      codes = "1C 2L 2S 2X";
      break;
    case System::kSbas:
    case System::kNavic:
      return std::nullopt;
  }
  for (; codes.size() >= 2;
       codes.remove_prefix(std::min<std::size_t>(3, codes.size()))) {
    if (codes[0] == signal.band && codes[1] == signal.attribute) {
      return 0.0;
    }
  }
  return std::nullopt;
}

std::optional<int> PreciseOrbits::glonass_channel(SatId /*sat*/) const {
  return std::nullopt;
}

std::string PreciseOrbits::frame_label() const {
  return store_->frame_label;
}

std::optional<GnssTime> PreciseOrbits::first() const {
  return store_->first;
}

std::optional<GnssTime> PreciseOrbits::last() const {
  return store_->last;
}

}  // namespace stillpoint
