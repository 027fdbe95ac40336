#include "stillpoint/intake/export/period_facts.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::intake {
namespace {

constexpr std::size_t kMostSteps = 1'000;

struct KindLetter {
  rinex::Kind kind;
  char letter;
  double Observation::*value;
};
constexpr std::array<KindLetter, 4> kKinds = {
    {{rinex::Kind::kCode, 'C', &Observation::code_m},
     {rinex::Kind::kPhase, 'L', &Observation::phase_cyc},
     {rinex::Kind::kDoppler, 'D', &Observation::doppler_hz},
     {rinex::Kind::kStrength, 'S', &Observation::cn0_dbhz}}};

std::uint8_t kinds_of(const Observation& row) {
  unsigned kinds = 0;
  for (std::size_t i = 0; i < kKinds.size(); ++i) {
    kinds |= (is_present(row.*kKinds[i].value) ? 1U : 0U) << i;
  }
  return static_cast<std::uint8_t>(kinds);
}

void add_range(const StreamRange& range, std::vector<StreamRange>& ranges) {
  if (!ranges.empty() && ranges.back().stream == range.stream) {
    ranges.back().to = std::max(ranges.back().to, range.to);
  } else {
    ranges.push_back(range);
  }
}

}  // namespace

void EpochFacts::add(const RecordedEpoch& recorded) {
  const Epoch& epoch = recorded.epoch;
  if (count_ == 0) {
    first_ = epoch.time;
  } else {
    const std::int64_t ms =
        (epoch.time.ns() - last_.ns() + 500'000) / 1'000'000;
    if (steps_ms_.size() < kMostSteps || steps_ms_.contains(ms)) {
      ++steps_ms_[ms];
    }
  }
  last_ = epoch.time;
  ++count_;
  add_range(recorded.bytes, bytes_);
  for (const SatRows& rows : epoch.satellites) {
    satellites_.set(static_cast<std::size_t>(rows.sat.index()));
    auto& signals = signals_[static_cast<std::size_t>(rows.sat.system)];
    for (const Observation& row : epoch.rows(rows)) {
      const auto band = static_cast<std::size_t>(row.signal.band - '0');
      const auto letter = static_cast<std::size_t>(row.signal.attribute - 'A');
      if (band < 10 && letter < kLetters) {
        std::uint8_t& kinds = signals[band * kLetters + letter];
        kinds = static_cast<std::uint8_t>(kinds | kinds_of(row));
      }
    }
  }
}

std::optional<double> EpochFacts::interval_s() const {
  const auto most = std::max_element(
      steps_ms_.begin(), steps_ms_.end(), [](const auto& a, const auto& b) {
        return a.second < b.second;
      });
  return most == steps_ms_.end()
             ? std::nullopt
             : std::optional(static_cast<double>(most->first) / 1000);
}

std::vector<rinex::Column> EpochFacts::columns(System system) const {
  std::vector<rinex::Column> columns;
  const Signals& signals = signals_[static_cast<std::size_t>(system)];
  for (std::size_t at = 0; at < signals.size(); ++at) {
    const SignalCode signal{static_cast<char>('0' + at / kLetters),
                            static_cast<char>('A' + at % kLetters)};
    for (std::size_t i = 0; i < kKinds.size(); ++i) {
      if ((unsigned{signals[at]} >> i & 1U) != 0) {
        columns.push_back({.code = kKinds[i].letter + signal.text(),
                           .kind = kKinds[i].kind,
                           .signal = signal});
      }
    }
  }
  return columns;
}

std::vector<SatId> EpochFacts::satellites(System system) const {
  std::vector<SatId> list;
  for (std::uint8_t number = 1; number < 100; ++number) {
    const SatId sat{system, number};
    if (satellites_.test(static_cast<std::size_t>(sat.index()))) {
      list.push_back(sat);
    }
  }
  return list;
}

}  // namespace stillpoint::intake
