// Received bytes on all their ways at once: as they are to the disk, as whole
// frames by way of the composer to rovers, and to the thread that decodes. No
// way waits for another.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "stillpoint/compose/composer.h"
#include "stillpoint/core/bytes.h"
#include "stillpoint/ntrip/server/frame_source.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/station/byte_queue.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/recording.h"

namespace stillpoint::station {

struct RawPathOptions {
  std::vector<profile::MakerFraming> framings;
  std::vector<std::string> mounts;
  // A recording that is read at once waits for disk and decoder; a receiver
  // waits for nobody.
  bool source_waits = false;
  compose::ComposerOptions compose;
};

//   threads  one: that of the source
class RawPath final : private profile::FrameSink {
 public:
  // All outlive it. What does not fit `decode` is left out there and counted.
  RawPath(RawPathOptions options,
          ntrip::FrameSink& rovers,
          Recording& recording,
          ByteQueue& decode,
          Clocks clocks);

  // One more taker of the bytes as they are.
  void set_tap(std::function<void(ByteSpan)> tap) { tap_ = std::move(tap); }

  // RTCM frames with a good checksum go to rovers, each the moment its last
  // byte is here, as far as the composer lets them; sentences and a maker's
  // packets do not.
  void push(ByteSpan bytes, GnssTime received);
  // The source was lost: what comes next does not continue what was.
  void broken();
  // What is due while no frame comes. About once a second.
  void tick();

  // What leaves for rovers.
  [[nodiscard]] compose::Composer& composer() { return composer_; }

  //   threads  any
  [[nodiscard]] std::uint64_t bytes() const { return bytes_; }
  [[nodiscard]] std::uint64_t frame_bytes() const { return frame_bytes_; }
  [[nodiscard]] std::uint64_t undecoded_bytes() const { return undecoded_; }

 private:
  void on_frame(const profile::StreamFrame& frame) override;
  void send_chunk();

  const RawPathOptions options_;
  ntrip::FrameSink& rovers_;
  Recording& recording_;
  ByteQueue& decode_;
  const Clocks clocks_;
  compose::Composer composer_;
  GnssTime received_;  // of the bytes at hand
  std::function<void(ByteSpan)> tap_;
  profile::StreamSplitter splitter_;
  std::vector<std::uint8_t> chunk_;  // frames that one read has completed
  std::atomic<std::uint64_t> bytes_ = 0, frame_bytes_ = 0, undecoded_ = 0;
};

}  // namespace stillpoint::station
