// The thread that writes station.db: entries of the logbook and minute values,
// gathered so that a card is not worn out by them. Whoever has something to
// tell never waits for the disk.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/log.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/worker.h"
#include "stillpoint/store/store.h"

namespace stillpoint::station {

struct ChronicleOptions {
  std::string database;
  // Entries wait so long for more of their kind: those that matter, and those
  // of rovers that come and go.
  std::chrono::nanoseconds entry_wait = std::chrono::seconds{1};
  std::chrono::nanoseconds rover_wait = std::chrono::seconds{10};
  std::chrono::nanoseconds minutes_wait = std::chrono::minutes{10};
  std::chrono::nanoseconds retry_after = std::chrono::seconds{30};
  // Of rovers that come and go, in an hour; beyond it they are only counted,
  // so that a swarm cannot fill the card.
  std::size_t most_rover_entries = 400;
  std::size_t most_waiting = 10'000;  // beyond it the oldest go
  Duration keep_minutes{400.0 * 86'400};
  // Whether the computer's clock is known to be right: nothing is deleted by
  // age before that.
  std::function<bool()> clock_proved = [] { return false; };
};

struct ChronicleFacts {
  bool good = false;
  std::string why;  // where it is not good
  std::uint64_t entries_waiting = 0;
  std::uint64_t entries_dropped = 0;
  std::uint64_t entries_written = 0;  // or dropped
};

// How the run before this one ended, by the logbook.
struct LastRun {
  bool clean = false;
  GnssTime at;  // of its last entry
};

class Chronicle {
 public:
  Chronicle(ChronicleOptions options, Clocks clocks, Logger log);

  // The thread's work, until stop(); then what waits is written once more.
  void run();
  void stop();

  // threads  any
  void tell(LogKind kind,
            std::string text,
            std::vector<LogDetail> details = {});
  void tell_at(LogEntry entry);
  void add_minutes(std::vector<NamedMinute> minutes);
  // Waits until all entries told so far are on the disk; false where that took
  // longer.
  bool wait_written(std::chrono::nanoseconds longest);

  // Known once the database has been opened for the first time.
  [[nodiscard]] std::optional<LastRun> last_run() const;
  [[nodiscard]] ChronicleFacts facts() const;
  [[nodiscard]] const Heartbeat& heart() const { return heart_; }

 private:
  struct Waiting {
    std::vector<LogEntry> entries;
    std::vector<NamedMinute> minutes;
  };

  bool open();
  void read_last_run();
  [[nodiscard]] bool due(std::chrono::nanoseconds now) const;
  bool write(Waiting waiting);
  bool write_entries(Waiting& waiting);
  bool write_minutes(Waiting& waiting);
  bool settle(const std::optional<Error>& why,
              const std::function<void()>& done);
  void put_back(Waiting waiting);
  void failed(const Error& why);
  bool room_for_rover(const LogEntry& entry);
  void bound();

  const ChronicleOptions options_;
  const Clocks clocks_;
  const Logger log_;
  Heartbeat heart_;
  std::optional<Store> store_;  // of the thread alone

  mutable std::mutex mutex_;
  std::condition_variable told_, written_;
  std::deque<LogEntry> entries_;
  std::vector<NamedMinute> minutes_;
  std::optional<std::chrono::nanoseconds> entry_due_, minutes_due_;
  std::optional<std::chrono::nanoseconds> retry_at_;
  std::optional<LastRun> last_run_;
  std::string why_ = "not opened yet";
  std::uint64_t dropped_ = 0;
  std::uint64_t told_count_ = 0, settled_count_ = 0;  // written or dropped
  std::int64_t rover_hour_ = -1;
  std::size_t rover_entries_ = 0;
  std::uint64_t rovers_unwritten_ = 0;
  bool stopping_ = false, written_ever_ = false;
};

}  // namespace stillpoint::station
