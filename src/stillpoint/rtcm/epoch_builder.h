// An epoch under construction: rows of several messages joined to one Epoch.
#pragma once

#include <array>
#include <cstdint>

#include "stillpoint/gnss/epoch.h"

namespace stillpoint::rtcm {

// Rows arrive satellite by satellite. A satellite may come again in a later
// message of the same epoch (more than 64 cells, or the same system sent at
// two levels): its rows stay together, and of one signal the row of the higher
// level is kept.
class EpochBuilder {
 public:
  void begin(GnssTime time);
  [[nodiscard]] bool started() const { return started_; }
  [[nodiscard]] GnssTime time() const { return epoch_.time; }
  [[nodiscard]] bool empty() const { return epoch_.observations.empty(); }

  // The week of the epoch in work was another one.
  void move(int weeks) {
    epoch_.time =
        GnssTime::from_ns(epoch_.time.ns() + weeks * GnssTime::kWeekNs);
  }

  // Rows of `sat` follow, at the level of their message (1 .. 7).
  void satellite(SatId sat, int level);
  // A row of the satellite named last; one without any value is left out.
  void row(const Observation& observation);

  // The epoch, complete; valid until begin().
  [[nodiscard]] const Epoch& epoch() const { return epoch_; }
  void end() { started_ = false; }

 private:
  void row_of_known(const Observation& observation);
  void open_satellite();

  Epoch epoch_;
  std::vector<std::uint8_t> levels_;                      // by row
  std::array<std::uint16_t, SatId::kIndexCount> slot_{};  // 1 + place, 0 none
  SatId sat_;                                             // in work
  std::size_t at_ = 0;  // its place, once it has a row
  int level_ = 0;
  // kNew: not in the epoch yet; kLast: the last one, rows are appended;
  // kEarlier: came in an earlier message, rows are merged.
  enum class At : std::uint8_t { kNew, kLast, kEarlier } where_ = At::kNew;
  bool started_ = false;
};

}  // namespace stillpoint::rtcm
