// What the station tells about itself on its health pages, as plain values that
// the station fills in at each request. Missing means: not known. There is no
// position in here, and no name of a person: the pages have no login.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/gnss/signal.h"
#include "stillpoint/ntrip/server/fan_options.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::api {

enum class ReceiverState : std::uint8_t {
  kOpening,
  kOpen,
  kSilent,   // open, and no byte for too long
  kWaiting,  // lost; tried again later
  kEnded,    // will not come back by itself
};

enum class StartUpState : std::uint8_t { kNone, kRunning, kDone, kFailed };

struct ReceiverStatus {
  std::string source;  // as in station.toml; pages show it by shown_source()
  ReceiverState state = ReceiverState::kOpening;
  std::optional<GnssTime> since;  // of the state
  std::string why;                // of the state; may be empty
  std::uint64_t bytes = 0;        // since the start
  std::optional<double> last_byte_age_s;
  double silence_s = 10;  // the owner's limit
  std::uint64_t reconnects = 0;
  StartUpState start_up = StartUpState::kNone;
};

enum class ArchiveState : std::uint8_t {
  kIdle,  // no byte has come yet
  kRecording,
  kCannotWrite,
  kOff,
};

struct ArchiveStatus {
  ArchiveState state = ArchiveState::kIdle;
  std::string why;  // of kCannotWrite
  std::optional<std::uint64_t> stream;
  // Every byte before durable_offset is safe on the disk; end_offset is that of
  // the next byte to come.
  std::uint64_t durable_offset = 0, end_offset = 0;
  std::uint64_t pending_bytes = 0;  // in memory
  std::uint64_t dropped_bytes = 0;  // since the start
  std::optional<std::uint64_t> segments;
  std::optional<std::uint64_t> disk_free_bytes;
  std::uint64_t leave_free_bytes = 0;  // the owner's limit; 0: none
  std::optional<double> last_commit_age_s;
};

struct ListenerStatus {
  std::string address;  // "127.0.0.1:2101"
  bool tls = false;
  bool open = false;
  std::string why;  // where it is not
};

struct RoversStatus {
  std::vector<ListenerStatus> listeners;
  ntrip::FanOutCounts counts;
  std::map<std::string, std::uint64_t> mounts;  // rovers at present, by name
};

struct SignalStatus {
  std::optional<double> mean_cn0_dbhz;  // over the last minute
  std::uint64_t slips = 0;              // since the start
};

// Counts are since the start.
struct DecodeStatus {
  std::map<int, std::uint64_t> messages;  // RTCM frames, by type
  std::uint64_t bad_crc = 0, malformed = 0, skipped_bytes = 0;
  std::map<System, std::uint64_t> satellites;  // tracked now
  std::map<std::pair<System, SignalCode>, SignalStatus> signals;
  std::uint64_t epochs_received = 0, epochs_missed = 0;
  std::optional<double> last_epoch_age_s;
  // From the position that is broadcast to the one that code ranges give.
  std::optional<double> code_offset_m;
  std::uint64_t queue_dropped_bytes = 0;  // never decoded, always recorded
};

struct StoreStatus {
  bool good = true;
  std::string why;                    // where it is not
  std::uint64_t entries_waiting = 0;  // of the logbook
};

struct ProcessStatus {
  std::optional<std::uint64_t> resident_bytes, open_files;
  // Seconds since each thread was last seen working.
  std::map<std::string, double> thread_beat_age_s;
  // The computer's clock minus the time that the receiver's epochs tell.
  std::optional<double> clock_offset_s;
};

struct ConfigStatus {
  std::string path;
  std::optional<GnssTime> loaded_at;
  // Where a reload failed, and no value of the file, which may be a coordinate:
  // "station.toml:45:3 and 2 more".
  std::optional<std::string> last_error;
};

// The station's verdict about itself; reasons by their words alone.
struct TrustStatus {
  std::string state;  // "building", …
  std::optional<GnssTime> since;
  std::vector<std::string> reasons;
};

struct StationStatus {
  std::string station, version;
  GnssTime started, now;
  double uptime_s = 0;
  ReceiverStatus receiver;
  ArchiveStatus archive;
  RoversStatus rovers;
  DecodeStatus decode;
  StoreStatus store;
  ProcessStatus process;
  ConfigStatus config;
  TrustStatus trust;
  std::optional<GnssTime> certificate_ends;
};

// "opening", "silent", "cannot_write", "none", …
const char* state_name(ReceiverState state);
const char* state_name(StartUpState state);
const char* state_name(ArchiveState state);

// "closed", "too_old", …
std::string departure_key(ntrip::Departure why);

// A source without what may be private in it: user name and everything behind
// '?' (a rover's position may stand there).
std::string shown_source(const std::string& source);

// Seconds since 1970-01-01 UTC, as monitoring counts.
double unix_s(GnssTime t);

}  // namespace stillpoint::api
