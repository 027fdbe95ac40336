#include "stillpoint/solve/ppp_wide_lane.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string_view>

#include "stillpoint/math/robust.h"

namespace stillpoint::solve {
namespace {

constexpr double kWindowS = 600;
// Of a ten-minute mean at the zenith [cycles], before the data have spoken, and
// between which bounds they may change it.
constexpr double kUsualCyc = 0.12, kLeastCyc = 0.04, kMostCyc = 0.5;
constexpr double kRepetition = 3, kFloorCyc = 0.03;
constexpr double kOdds = 1000;
constexpr int kRounds = 4;
// So many means of arcs that are safe say the level alone; fewer have so much
// less of a say beside the usual one.
constexpr double kEnoughForLevel = 20;

bool one_of(char c, std::string_view characters) {
  return characters.find(c) != std::string_view::npos;
}

// Whether the codes are those that integer clocks' wide-lane biases are of: the
// encrypted pair of GPS, the pilots of Galileo. Common practice, no source;
// with C1C in place of C1W the fractions of a GPS receiver at hand scatter by
// 0.15 cycles.
bool codes_of_clocks(const PppRow& r) {
  switch (r.sat.system) {
    case System::kGps:
      return one_of(r.code_first.attribute, "WPY") &&
             one_of(r.code_second.attribute, "WPY");
    case System::kGalileo:
      return one_of(r.code_first.attribute, "CX") &&
             one_of(r.code_second.attribute, "QX");
    default:
      return false;
  }
}

double sine_of(const PppRow& r) {
  return std::max(0.05, std::sin(static_cast<double>(r.elevation_rad)));
}

// The mean of one arc over one window.
struct Block {
  std::uint32_t arc = 0;
  std::size_t window = 0;
  double sum = 0, weight = 0;  // sines squared
  int rows = 0;
  [[nodiscard]] double mean() const { return sum / weight; }
  // Of the mean of the squared sines: what scales its sigma.
  [[nodiscard]] double sine() const { return std::sqrt(weight / rows); }
};

// One system's arcs and the receiver's constant along the session.
class SystemLanes {
 public:
  SystemLanes(std::size_t arcs, std::size_t windows)
      : constant_(windows, std::numeric_limits<double>::quiet_NaN()),
        open_(arcs, kNoBlock) {}

  void add(std::uint32_t arc, std::size_t window, double cyc, double sine);
  // Fills the arcs that are safe.
  void solve(std::vector<std::optional<std::int64_t>>& whole);

 private:
  static constexpr std::size_t kNoBlock =
      std::numeric_limits<std::size_t>::max();
  struct Arc {
    double sum = 0, weight = 0;
    std::int64_t whole = 0;
    bool safe = false;
  };
  void first_constants();
  void round_arcs();
  void constants_from_arcs();

  std::vector<Block> blocks_;
  std::vector<double> constant_;
  std::vector<std::size_t> open_;  // by arc: its last block
  std::vector<Arc> arcs_;
  double level_cyc_ = kUsualCyc;
};

void SystemLanes::add(std::uint32_t arc,
                      std::size_t window,
                      double cyc,
                      double sine) {
  std::size_t& at = open_[arc];
  if (at == kNoBlock || blocks_[at].window != window) {
    at = blocks_.size();
    blocks_.push_back({arc, window, 0, 0, 0});
  }
  Block& block = blocks_[at];
  const double weight = sine * sine;
  block.sum += weight * cyc;
  block.weight += weight;
  ++block.rows;
}

// The mean direction of all fractions of a window, each nearest to the one
// before.
void SystemLanes::first_constants() {
  std::vector<std::complex<double>> sums(constant_.size());
  for (const Block& b : blocks_) {
    const double turn = b.mean() - std::round(b.mean());
    sums[b.window] +=
        std::polar(b.sine() * b.sine(), 2 * std::numbers::pi * turn);
  }
  double before = 0;
  bool any = false;
  for (std::size_t k = 0; k < sums.size(); ++k) {
    if (std::abs(sums[k]) == 0) {
      continue;
    }
    double now = std::arg(sums[k]) / (2 * std::numbers::pi);
    if (any) {
      now += std::round(before - now);
    }
    any = true;
    constant_[k] = before = now;
  }
}

void SystemLanes::round_arcs() {
  for (Arc& arc : arcs_) {
    arc = {};
  }
  for (const Block& b : blocks_) {
    const double sine = b.sine();
    const double weight = sine * sine;
    arcs_[b.arc].sum += weight * (b.mean() - constant_[b.window]);
    arcs_[b.arc].weight += weight;
  }
  for (Arc& arc : arcs_) {
    if (arc.weight <= 0) {
      continue;
    }
    const double mean = arc.sum / arc.weight;
    const double nearest = std::round(mean);
    const double variance = kFloorCyc * kFloorCyc +
                            kRepetition * level_cyc_ * level_cyc_ / arc.weight;
    // Likelihoods of the nearest and the next whole number.
    const double odds = (1 - 2 * std::abs(mean - nearest)) / (2 * variance);
    arc.whole = static_cast<std::int64_t>(nearest);
    arc.safe = odds > std::log(kOdds);
  }
}

void SystemLanes::constants_from_arcs() {
  std::vector<double> sums(constant_.size(), 0.0), weights(constant_.size());
  for (const Block& b : blocks_) {
    const Arc& arc = arcs_[b.arc];
    if (arc.safe) {
      const double weight = b.sine() * b.sine();
      sums[b.window] += weight * (b.mean() - static_cast<double>(arc.whole));
      weights[b.window] += weight;
    }
  }
  for (std::size_t k = 0; k < constant_.size(); ++k) {
    if (weights[k] > 0) {
      constant_[k] = sums[k] / weights[k];
    }
  }
  std::vector<double> sizes;
  for (const Block& b : blocks_) {
    const Arc& arc = arcs_[b.arc];
    if (arc.safe) {
      sizes.push_back(b.sine() *
                      std::abs(b.mean() - static_cast<double>(arc.whole) -
                               constant_[b.window]));
    }
  }
  if (!sizes.empty()) {
    const double share =
        std::min(1.0, static_cast<double>(sizes.size()) / kEnoughForLevel);
    const double found =
        std::clamp(1.4826 * math::median_in_place(sizes), kLeastCyc, kMostCyc);
    level_cyc_ =
        std::sqrt(share * found * found + (1 - share) * kUsualCyc * kUsualCyc);
  }
}

void SystemLanes::solve(std::vector<std::optional<std::int64_t>>& whole) {
  arcs_.assign(open_.size(), {});
  first_constants();
  for (int round = 0; round < kRounds; ++round) {
    round_arcs();
    constants_from_arcs();
  }
  round_arcs();
  for (std::size_t a = 0; a < arcs_.size(); ++a) {
    if (arcs_[a].safe) {
      whole[a] = arcs_[a].whole;
    }
  }
}

}  // namespace

std::optional<WideLaneValue> wide_lane_value(const PppRow& row,
                                             GnssTime t,
                                             const PppAids& aids) {
  if (row.sat.system != System::kGps && row.sat.system != System::kGalileo) {
    return std::nullopt;
  }
  if (aids.biases != nullptr) {
    const auto bias = [&](SignalCode signal, bool phase) {
      return aids.biases->osb_s(row.sat, signal, phase, t);
    };
    const auto code_first = bias(row.code_first, false);
    const auto code_second = bias(row.code_second, false);
    const auto phase_first = bias(row.phase_first, true);
    const auto phase_second = bias(row.phase_second, true);
    if (code_first && code_second && phase_first && phase_second) {
      PppRow corrected = row;
      corrected.code_first_m -= kSpeedOfLightMps * *code_first;
      corrected.code_second_m -= kSpeedOfLightMps * *code_second;
      corrected.phase_first_m -= kSpeedOfLightMps * *phase_first;
      corrected.phase_second_m -= kSpeedOfLightMps * *phase_second;
      return WideLaneValue{corrected.wide_lane_cyc(),
                           IntegerBasis::kPhaseBiases};
    }
  }
  if (aids.clocks == nullptr || !codes_of_clocks(row)) {
    return std::nullopt;
  }
  const auto bias = aids.clocks->wide_lane_cyc(
      row.sat, t, row.phase_first.band, row.phase_second.band);
  if (!bias) {
    return std::nullopt;
  }
  return WideLaneValue{row.wide_lane_cyc() + *bias,
                       IntegerBasis::kIntegerClocks};
}

bool PppWideLanes::any_basis() const {
  return std::any_of(basis.begin(), basis.end(), [](IntegerBasis b) {
    return b != IntegerBasis::kNone;
  });
}

PppWideLanes find_wide_lanes(const PppSession& session, const PppAids& aids) {
  PppWideLanes out;
  out.whole.resize(session.arcs.size());
  if (session.epochs.empty() ||
      (aids.biases == nullptr &&
       (aids.clocks == nullptr || !aids.clocks->has_wide_lane()))) {
    return out;
  }
  const GnssTime begin = session.epochs.front().time;
  const auto window_of = [&](GnssTime t) {
    return static_cast<std::size_t>((t - begin).s / kWindowS);
  };
  const std::size_t windows = window_of(session.epochs.back().time) + 1;
  std::vector<SystemLanes> systems(kSystemCount,
                                   SystemLanes(session.arcs.size(), windows));
  // An arc counts with one basis only, and only if all of it has it.
  std::vector<bool> spoilt(session.arcs.size(), false);
  for (const PppEpoch& epoch : session.epochs) {
    for (const PppRow& r : session.rows_of(epoch)) {
      if (!r.phase_used() || !r.code_used()) {
        continue;
      }
      const auto value = wide_lane_value(r, epoch.time, aids);
      const auto s = static_cast<std::size_t>(r.sat.system);
      if (!value || (out.basis[s] != IntegerBasis::kNone &&
                     out.basis[s] != value->basis)) {
        spoilt[r.arc] = true;
        continue;
      }
      out.basis[s] = value->basis;
      systems[s].add(r.arc, window_of(epoch.time), value->cyc, sine_of(r));
    }
  }
  for (SystemLanes& system : systems) {
    system.solve(out.whole);
  }
  for (std::size_t a = 0; a < out.whole.size(); ++a) {
    if (spoilt[a]) {
      out.whole[a].reset();
    }
  }
  return out;
}

std::string basis_words(const PppWideLanes& lanes) {
  const auto systems_with = [&](IntegerBasis basis) {
    std::string names;
    for (const System system : kSystems) {
      if (lanes.basis[static_cast<std::size_t>(system)] == basis) {
        names += names.empty() ? "" : ", ";
        names += system_name(system);
      }
    }
    return names;
  };
  std::string words;
  if (const std::string names = systems_with(IntegerBasis::kPhaseBiases);
      !names.empty()) {
    words = "phase biases of the bias product (" + names + ")";
  }
  if (const std::string names = systems_with(IntegerBasis::kIntegerClocks);
      !names.empty()) {
    words += words.empty() ? "" : " and ";
    words += "integer clocks with wide-lane biases (" + names + ")";
  }
  return words.empty() ? "the products hold neither phase biases nor integer "
                         "clocks for the signals in use"
                       : words;
}

}  // namespace stillpoint::solve
