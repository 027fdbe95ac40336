// For the harnesses of the observation reader: whole files read at once or in
// pieces, and the comparison of what came out.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/rinex/observation_reader.h"

namespace stillpoint::fuzz {

// Bytes handed out a few at a time.
class Pieces final : public ByteStream {
 public:
  Pieces(std::string_view text, std::size_t step) : text_(text), step_(step) {}
  Result<std::size_t> read(std::span<char> into) override {
    const std::size_t count = std::min({step_, into.size(), text_.size()});
    std::memcpy(into.data(), text_.data(), count);
    text_.remove_prefix(count);
    return count;
  }
  [[nodiscard]] const std::string& name() const override { return name_; }

 private:
  std::string_view text_;
  std::size_t step_;
  std::string name_ = "fuzz";
};

struct Reading {
  bool opened = false, failed = false;
  std::size_t problems = 0;
  std::vector<Epoch> epochs;
  [[nodiscard]] bool clean() const {
    return opened && !failed && problems == 0;
  }
};

inline Reading read(std::unique_ptr<ByteStream> stream) {
  Reading reading;
  auto reader = rinex::ObservationReader::open(std::move(stream));
  reading.opened = reader.has_value();
  Epoch epoch;
  while (reader) {
    const auto got = reader->next(epoch);
    reading.failed = !got;
    if (!got || !*got) {
      break;
    }
    reading.epochs.push_back(epoch);
  }
  if (reader) {
    reading.problems = reader->problem_count();
    STILLPOINT_CHECK(reader->problems().size() <=
                     rinex::ObservationReader::kMaxProblems);
  }
  return reading;
}

inline bool same(double a, double b) {
  return a == b || (!is_present(a) && !is_present(b));
}

inline bool same(const Observation& a, const Observation& b) {
  return same(a.code_m, b.code_m) && same(a.phase_cyc, b.phase_cyc) &&
         same(a.doppler_hz, b.doppler_hz) && same(a.cn0_dbhz, b.cn0_dbhz) &&
         a.signal == b.signal && a.lli == b.lli &&
         a.phase_strength == b.phase_strength &&
         a.code_strength == b.code_strength;
}

inline void check_same(const Reading& a, const Reading& b) {
  STILLPOINT_CHECK(a.epochs.size() == b.epochs.size());
  for (std::size_t i = 0; i < a.epochs.size(); ++i) {
    const Epoch& x = a.epochs[i];
    const Epoch& y = b.epochs[i];
    STILLPOINT_CHECK(x.time == y.time && x.flag == y.flag &&
                     x.receiver_clock_s == y.receiver_clock_s &&
                     x.satellites.size() == y.satellites.size() &&
                     x.observations.size() == y.observations.size());
    for (std::size_t k = 0; k < x.satellites.size(); ++k) {
      STILLPOINT_CHECK(x.satellites[k].sat == y.satellites[k].sat &&
                       x.satellites[k].first == y.satellites[k].first &&
                       x.satellites[k].count == y.satellites[k].count);
    }
    for (std::size_t k = 0; k < x.observations.size(); ++k) {
      STILLPOINT_CHECK(same(x.observations[k], y.observations[k]));
    }
  }
}

// Whatever is read has a place for every row and something in every row.
inline void check_sound(const Reading& reading) {
  for (const Epoch& epoch : reading.epochs) {
    std::size_t next = 0;
    for (const SatRows& rows : epoch.satellites) {
      STILLPOINT_CHECK(rows.first == next && rows.count > 0);
      next += rows.count;
    }
    STILLPOINT_CHECK(next == epoch.observations.size());
    for (const Observation& row : epoch.observations) {
      STILLPOINT_CHECK(row.any() && !row.signal.empty());
    }
  }
}

}  // namespace stillpoint::fuzz
