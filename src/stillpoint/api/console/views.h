// What the console shows, as plain values that the station fills in. Missing
// means: not known. docs/api.md says how each becomes a document.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/api/console/road.h"
#include "stillpoint/api/station_status.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/quality/sky_watch.h"
#include "stillpoint/time/gnss_time.h"
#include "stillpoint/trust/trust.h"

namespace stillpoint::api {

struct JobFile {
  std::string name;
  std::uint64_t bytes = 0;
};

// A solve or an export that the station has been asked for.
struct JobView {
  std::string id, kind, state, by;
  GnssTime asked;
  std::optional<GnssTime> started, ended;
  GnssTime start, end;  // of the data
  std::string step;
  std::optional<double> progress;  // 0 .. 1
  std::string what, why;
  std::optional<std::int64_t> record;
  bool report = false;
  std::vector<JobFile> files;
};

struct JobWish {
  bool is_export = false;
  GnssTime start, end;
  std::string method = "auto";  // of a solve: "auto", "code", "ppp"
  std::string format = "3.05";  // of an export
  double interval_s = 30;
  bool hatanaka = false, gzip = false;
};

struct NowView {
  StationStatus status;
  trust::Verdict verdict;
  std::string sentence;
  RoadFacts road;
  std::optional<GnssTime> last_epoch;
  std::optional<int> satellites;
  std::optional<double> cn0_mean_dbhz;
  std::optional<JobView> job;
};

// The mean of the last hour of code ranges.
struct LiveView {
  Ecef arp_m;
  std::array<double, 3> sigma_enu_m{};
  int epochs = 0;
  GnssTime first, last;
  std::optional<double> apart_m;  // from the adopted coordinate
};

enum class BroadcastKind : std::uint8_t {
  kNone,
  kAdopted,
  kProvisional,
};
const char* broadcast_name(BroadcastKind kind);

struct RoverView {
  std::string name, mount, address;
  GnssTime since;
  std::uint64_t sent_bytes = 0;
};

struct MountView {
  std::string name;
  bool open = false;
  std::uint64_t rovers = 0;
};

struct MessageView {
  int type = 0;
  std::uint64_t count = 0;
  std::optional<double> rate_hz;
};

struct StreamView {
  BroadcastKind broadcast = BroadcastKind::kNone;
  std::optional<std::int64_t> record;
  std::optional<int> type;  // 1005 or 1006
  std::optional<Ecef> arp_m;
  std::string notice;  // empty: none
  std::vector<MountView> mounts;
  std::vector<RoverView> rovers;
  std::vector<MessageView> messages;
  ntrip::FanOutCounts counts;
  std::uint64_t passed = 0, dropped = 0, withheld = 0, inserted = 0;
  std::optional<double> age_s;
};

struct HourView {
  GnssTime start;
  std::string path;  // relative to the folder of raw data
  std::uint64_t bytes = 0, disk_bytes = 0;
  std::optional<GnssTime> first_epoch, last_epoch;
  std::optional<std::int64_t> epochs;
  bool open = false;
};

struct RecordView {
  std::vector<HourView> hours;
  std::optional<std::uint64_t> free_bytes;
  std::uint64_t leave_free_bytes = 0, used_bytes = 0;
  std::optional<double> days_left;
};

}  // namespace stillpoint::api
