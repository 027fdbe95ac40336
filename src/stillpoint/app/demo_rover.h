// A rover of the demo: a client that takes the station's stream as fast as it
// comes, and counts what it hears.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/intake/stream_reader.h"
#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::app {

struct RoverFacts {
  std::string name;
  bool listens = false;
  std::uint64_t sessions = 0;  // more than one: it was cut in between
  std::uint64_t bytes = 0, frames = 0, bad_frames = 0, epochs = 0;
  std::uint64_t gaps = 0, epochs_missed = 0;
  std::optional<GnssTime> last_epoch;
  std::optional<Ecef> told_arp;              // by the last 1005 or 1006
  std::uint64_t positions = 0, notices = 0;  // 1005, 1006; 1029
  std::string why;                           // it does not listen
};

class DemoRover final : private net::SourceSink, private intake::StreamSink {
 public:
  //   day         of the data
  //   interval_s  from one epoch to the next
  DemoRover(std::string name, GnssTime day, double interval_s);

  // Connects, and again where the stream is lost; the loop outlives the rover.
  //
  //   errors   kUsage, kIo
  Status start(net::Loop& loop,
               std::uint16_t port,
               const std::string& mount,
               const std::string& password_file);
  // Lets go of the stream.
  void stop();
  [[nodiscard]] RoverFacts facts() const;

 private:
  void on_bytes(ByteSpan bytes) override;
  void on_status(const net::SourceStatus& status) override;
  void on_rtcm(std::optional<int> type, ByteSpan frame) override;
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override;
  void on_position(const rtcm::StationPosition& position, int type) override;

  const double interval_s_;
  RoverFacts facts_;
  intake::StreamReader reader_;
  std::unique_ptr<net::ByteSource> source_;
};

}  // namespace stillpoint::app
