// Which epochs of a stream came and which did not, by their own times.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::quality {

// Since the start.
struct EpochCounts {
  std::uint64_t received = 0;  // each instant once
  std::uint64_t missed = 0;    // of those that were to be expected
  std::uint64_t doubled = 0;   // the instant of the one before again
  std::uint64_t backward = 0;  // earlier than the one before
  std::uint64_t jumps = 0;     // the receiver's clock went ahead, none missed
};

class EpochLedger {
 public:
  // Without receive times a longer step is taken for a jump of the clock.
  static constexpr double kLongestBlindStepS = 600;
  // With receive times that went along, up to a day is missed epochs.
  static constexpr double kLongestStepS = 86'400;
  // Steps that the interval is learnt from, and how many it takes at least:
  // what is missing before that is not known.
  static constexpr std::size_t kSteps = 15, kLeastSteps = 3;

  // What an epoch is in the sequence.
  struct Entry {
    bool in_order = false;     // else doubled or backward: not to be used
    std::uint64_t missed = 0;  // epochs between the one before and this one,
    GnssTime before;           // … which was at this instant
  };
  // Takes the next epoch.
  //
  //   received  when it came, where that is known: tells an outage from a
  //             receiver that set its clock
  Entry take(GnssTime time, std::optional<GnssTime> received);

  // The median step, once enough of them were seen.
  [[nodiscard]] std::optional<double> interval_s() const;
  [[nodiscard]] const EpochCounts& counts() const { return counts_; }
  // The last epoch in order, and when it came.
  [[nodiscard]] std::optional<GnssTime> last() const { return last_; }
  [[nodiscard]] std::optional<GnssTime> last_received() const {
    return received_;
  }
  // All epochs so far lie so many weeks later than they were said to.
  void move(int weeks);

 private:
  [[nodiscard]] bool goes_back(GnssTime time);
  [[nodiscard]] bool is_jump(double step_s,
                             std::optional<GnssTime> received) const;
  void learn(std::int64_t step_ns);

  EpochCounts counts_;
  std::optional<GnssTime> last_, received_;
  std::optional<GnssTime> behind_;  // a backward epoch, the last one that came
  std::array<std::int64_t, kSteps> steps_ns_{};
  std::size_t steps_ = 0;  // that were seen
};

}  // namespace stillpoint::quality
