// Messages of one instant joined to one epoch.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>

#include "stillpoint/rtcm/epoch_builder.h"

namespace stillpoint::rtcm {

// An epoch is complete when a message says that none follows (the
// multiple-message bit), when one of another instant or station comes, after a
// time-out, or at the end. Senders whose bit is wrong are found out at their
// first epoch, which therefore waits for the second; of them every epoch does.
class EpochJoiner {
 public:
  using Emit = std::function<void(const Epoch&, int station_id)>;
  explicit EpochJoiner(Emit emit) : emit_(std::move(emit)) {}

  // The builder to append a message's rows to.
  EpochBuilder& open(GnssTime time, int station_id);
  // The message is done; `more` is its multiple-message bit.
  void close(bool more, std::optional<GnssTime> received);

  // Emits an epoch that has waited for longer than the time-out.
  void tick(GnssTime received, double timeout_s);
  void finish() { emit(); }
  // The week was another one.
  void move(int weeks) { builder_.move(weeks); }

 private:
  enum class Bit : std::uint8_t { kUnknown, kGood, kWrong };
  void emit();

  Emit emit_;
  EpochBuilder builder_;
  int station_id_ = 0;
  Bit bit_ = Bit::kUnknown;
  bool said_complete_ = false;
  std::optional<GnssTime> since_;  // receive time of the last message
};

}  // namespace stillpoint::rtcm
