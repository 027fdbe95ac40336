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
#include "stillpoint/quality/sky_watch.h"
#include "stillpoint/solve/live_position.h"
#include "stillpoint/station/byte_queue.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/recording.h"
#include "stillpoint/station/worker.h"

namespace stillpoint::station {

struct DecodeOptions {
  config::StationConfig config;
  std::vector<profile::MakerFraming> framings;
  // A recording tells nothing by when it is read.
  bool recorded = false;
  // Of the data, where the source names one: then the computer's clock says
  // nothing about them, nor they about it.
  std::optional<GnssTime> day;
  std::size_t most_queued = std::size_t{4} << 20U;
  std::chrono::nanoseconds look_every = std::chrono::seconds{1};
  std::chrono::nanoseconds table_every = std::chrono::seconds{10};
};

// What the console and the trust want to know of the stream.
struct DecodedFacts {
  std::optional<solve::LiveFix> fix;  // by code ranges
  std::optional<int> satellites;      // of the last epoch
  std::optional<double> cn0_mean_dbhz;
  int ephemerides = 0;
  std::vector<intake::LiveMessage> messages;
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
  // The newest epoch that was decoded, and the first one.
  [[nodiscard]] std::optional<EpochSpan> epochs() const;
  // Whether the source names the day of its data.
  [[nodiscard]] bool names_day() const { return options_.day.has_value(); }
  // Now, as far as the data are concerned: the computer's clock, or the newest
  // epoch where the source names its day.
  [[nodiscard]] GnssTime data_now() const;
  [[nodiscard]] DecodedFacts facts() const;
  [[nodiscard]] quality::SkySnapshot sky() const;
  // An antenna's place where the stream gives none yet: of the adopted record.
  // And whether there is an adopted record at all, for the source table.
  void set_adopted(const std::optional<Ecef>& arp_m);
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
  void watch_sky();
  [[nodiscard]] std::optional<Ecef> antenna() const;
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
  quality::SkyWatch sky_watch_;
  std::chrono::nanoseconds sky_at_{0};
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
  std::optional<EpochSpan> epochs_;
  std::optional<solve::LiveFix> fix_;
  quality::SkySnapshot sky_;
  std::optional<Ecef> adopted_;
};

}  // namespace stillpoint::station
