// The thread that understands the bytes: what arrives, how good the signals
// are, where the antenna seems to be. Nothing waits for it: where it falls
// behind, bytes pass it by, and only what it would have known of them is lost.
#pragma once

#include <atomic>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/api/station_status.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/core/log.h"
#include "stillpoint/intake/live_facts.h"
#include "stillpoint/intake/live_snapshot.h"
#include "stillpoint/ntrip/server/fan_out.h"
#include "stillpoint/profile/framing.h"
#include "stillpoint/solve/live_position.h"
#include "stillpoint/station/byte_queue.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/worker.h"

namespace stillpoint::station {

struct DecodeOptions {
  config::StationConfig config;
  std::vector<profile::MakerFraming> framings;
  // A recording tells nothing by when it is read.
  bool recorded = false;
  std::optional<GnssTime> day;  // of the data, where the source names one
  std::size_t most_queued = std::size_t{4} << 20U;
  std::chrono::nanoseconds look_every = std::chrono::seconds{1};
  std::chrono::nanoseconds table_every = std::chrono::seconds{10};
};

class DecodePath {
 public:
  DecodePath(DecodeOptions options, Clocks clocks, Logger log);

  // Where minutes and the source table go, before run(); both outlive it.
  void connect(Chronicle& chronicle, ntrip::FanOut& fan_out);

  // The thread's work, until stop().
  void run();
  void stop() { queue_.close(); }

  // threads  any
  [[nodiscard]] ByteQueue& queue() { return queue_; }
  void set_config(const config::StationConfig& config);
  // Whether the epochs of the receiver agree with the computer's clock.
  [[nodiscard]] bool clock_proved() const { return clock_proved_; }
  // Fills in what the health pages show of it.
  void show(std::chrono::nanoseconds now, api::StationStatus& status) const;
  [[nodiscard]] const Heartbeat& heart() const { return heart_; }

 private:
  void read_navigation_files();
  void take(const ReceivedBytes& item);
  void on_epoch(const Epoch& epoch);
  void look();
  void update_table(const intake::LiveSnapshot& snapshot);
  void watch_position(const intake::LiveSnapshot& snapshot);
  [[nodiscard]] config::StationConfig config() const;

  const DecodeOptions options_;
  const Clocks clocks_;
  const Logger log_;
  Heartbeat heart_;
  ByteQueue queue_;
  Chronicle* chronicle_ = nullptr;
  ntrip::FanOut* fan_out_ = nullptr;

  // Of the thread alone.
  intake::LiveFacts facts_;
  solve::LivePosition position_;
  std::optional<GnssTime> position_at_;  // epoch of the last one
  std::optional<GnssTime> received_;     // of the bytes at hand
  std::chrono::nanoseconds looked_at_{0}, table_at_{0};
  std::string table_;
  bool far_off_told_ = false;

  std::atomic<bool> clock_proved_ = false;
  mutable std::mutex mutex_;
  config::StationConfig config_;
  intake::LiveSnapshot snapshot_;
  std::chrono::nanoseconds snapshot_at_{0};
  std::optional<double> code_offset_m_, clock_offset_s_;
};

}  // namespace stillpoint::station
