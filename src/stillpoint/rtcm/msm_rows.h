// MSM to rows of an Epoch: ranges, phases, Doppler and loss of lock out of the
// raw integers.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>

#include "stillpoint/rtcm/epoch_builder.h"
#include "stillpoint/rtcm/lock_time.h"
#include "stillpoint/rtcm/raw_msm.h"

namespace stillpoint::rtcm {

// Remembers, by satellite and signal number, how long each phase was locked at
// its last epoch.
class LockMemory {
 public:
  // True where the lock may have been lost since the signal's last epoch; the
  // first epoch of a signal, or one that is not later, tells nothing.
  bool lost(System system,
            unsigned satellite,  // mask position, 1 .. 64
            unsigned signal,     // 1 .. 32
            GnssTime time,
            LockRange lock);
  // All epochs so far lie so many weeks later than they were said to.
  void move(int weeks) { moved_ns_ += weeks * GnssTime::kWeekNs; }

 private:
  struct Last {
    std::int64_t time_ns = 0;
    std::int64_t at_least_ms = -1;  // negative: not seen
  };
  using Table = std::array<Last, std::size_t{64} * 32>;
  std::array<std::unique_ptr<Table>, kSystemCount> tables_;
  std::int64_t moved_ns_ = 0;
};

// Frequency channels of GLONASS by slot number, as far as they are known.
class GlonassChannels {
 public:
  void set(SatId sat, int channel) {
    known_[sat.number % known_.size()] = static_cast<std::int8_t>(channel);
  }
  [[nodiscard]] std::optional<int> of(SatId sat) const {
    const std::int8_t channel = known_[sat.number % known_.size()];
    return channel == kUnknown ? std::nullopt : std::optional<int>(channel);
  }

 private:
  static constexpr std::int8_t kUnknown = 127;
  std::array<std::int8_t, 100> known_ = [] {
    std::array<std::int8_t, 100> none{};
    none.fill(kUnknown);
    return none;
  }();
};

// Appends a message's rows to the epoch in work. Levels 1 to 3 have no whole
// milliseconds: their code is left out (it is known up to light-milliseconds
// only) and their phase is good up to whole light-milliseconds. A GLONASS
// satellite whose channel is not known yet gets no phase and no Doppler.
// Channels that the message carries (levels 5 and 7) are remembered.
//
//   source   RTCM 10403.3, MSM: range = c (DF397 + DF398 + fine), rate = DF399
//            + DF404, Doppler = -rate / wavelength; the phase range has the
//            sign of the pseudorange
void append_rows(const RawMsm& msm,
                 EpochBuilder& epoch,
                 LockMemory& locks,
                 GlonassChannels& channels);

}  // namespace stillpoint::rtcm
