// The simulated receiver's port: the bytes that come out of it, and what it
// makes of those that go in. Speaks the packets of receivers/spdemo-r1.toml.
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/simulate/output/rtcm_stream.h"

namespace stillpoint::simulate {

// What it was told.
struct PortSettings {
  int interval_ms = 1000;
  bool told_interval = false;
  std::uint64_t commands = 0, refused = 0;
  std::optional<Ecef> arp_m;
};

class ReceiverPort final : private profile::FrameSink {
 public:
  // The sky and the description outlive it.
  ReceiverPort(const Sky& sky,
               const ReceiverScenario& receiver,
               RtcmStreamOptions options);

  // The bytes of an epoch: RTCM, a packet about the receiver itself and, every
  // ten seconds, a GGA. Empty for epochs off the interval that it was told.
  //
  //   errors   as RtcmStream::add
  Result<std::vector<std::uint8_t>> epoch(const Epoch& epoch);
  // Bytes from the other side; what it answers.
  std::vector<std::uint8_t> take(ByteSpan bytes);

  [[nodiscard]] const PortSettings& settings() const { return settings_; }

 private:
  void on_frame(const profile::StreamFrame& frame) override;
  // The reason why not, 0 when obeyed.
  int obey(int command, ByteSpan payload);
  std::vector<std::uint8_t> packet(int number, ByteSpan payload);

  const Sky& sky_;
  const ReceiverScenario& receiver_;
  RtcmStream stream_;
  profile::StreamSplitter splitter_;
  std::vector<std::uint8_t> answer_;
  PortSettings settings_;
  std::uint8_t count_ = 0;
};

}  // namespace stillpoint::simulate
