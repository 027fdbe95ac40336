// station.toml: what the owner says about the station. Every key, its unit,
// default and limits stand in docs/formats/station-toml.md; the list that all
// of it comes from is settings.h. No secret ever stands here.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/config/listen_address.h"
#include "stillpoint/core/log.h"
#include "stillpoint/core/result.h"

namespace stillpoint::config {

struct StationSection {
  // As in the names of RINEX files: four letters or digits, the number of the
  // marker and of the receiver, three letters of the country.
  std::string name = "NAME00XXX";
  std::string state = "/var/lib/stillpoint";  // folder
  // For the headers of exported files; empty: not said.
  std::string marker_number, observer, agency;
  friend bool operator==(const StationSection&,
                         const StationSection&) = default;
};

struct ReceiverSection {
  std::string source = "serial:/dev/ttyACM0?baud=115200";
  // The name of a shipped profile, or a path; empty: nothing to send.
  std::string profile;
  // Where ephemerides come from besides the receiver; see is_source().
  std::vector<std::string> nav_sources;
  // Bytes of the receiver for another program: "", "tcp:PORT" or "pty".
  std::string pass_through;
  std::uint32_t silence_s = 10;
  // For the headers of exported files; empty: what the receiver sends.
  std::string type, serial, firmware;
  friend bool operator==(const ReceiverSection&,
                         const ReceiverSection&) = default;
};

// For the headers of exported files; what is not said here is taken from what
// the receiver sends.
struct AntennaSection {
  std::string type, serial;
  // From the marker to the antenna's reference point.
  std::optional<double> height_m, east_m, north_m;
  friend bool operator==(const AntennaSection&,
                         const AntennaSection&) = default;
};

struct ArchiveSection {
  std::uint32_t commit_s = 5;
  // The oldest segments go when any of the three says so; 0: no such limit.
  // MB are 1024 * 1024 bytes.
  std::uint32_t keep_days = 0, keep_mb = 0, leave_free_mb = 512;
  std::uint32_t compression = 3;  // zstd's level
  friend bool operator==(const ArchiveSection&,
                         const ArchiveSection&) = default;
};

struct RoversSection {
  // Nothing: not opened.
  std::optional<ListenAddress> listen = ListenAddress{"127.0.0.1", 2101};
  std::optional<ListenAddress> tls_listen;
  // PEM files; both empty: the certificate that the station makes.
  std::string certificate, key;
  std::uint32_t most = 1000, most_per_address = 100;
  std::uint32_t lag_kb = 256, lag_s = 15;  // kB are 1024 bytes
  std::uint32_t write_deadline_s = 10, request_deadline_s = 10;
  // Message types that rovers do not get, "1033 1230"; and the station id in
  // every message that has one, empty: the receiver's own.
  std::string drop, station_id;
  friend bool operator==(const RoversSection&, const RoversSection&) = default;
};

struct MountpointSection {
  std::string name = "NAME";
  // What the source table says. Empty: the station's name, its last three
  // letters, and nothing.
  std::string identifier, country, network;
  // Both or none; none: from the broadcast coordinate. In degrees because
  // people write them.
  std::optional<double> latitude_deg, longitude_deg;
  bool open = false;       // without a password
  std::uint32_t most = 0;  // rovers at a time; 0: only rovers.most counts
  friend bool operator==(const MountpointSection&,
                         const MountpointSection&) = default;
};

enum class Withhold : std::uint8_t { kPosition, kAll };

struct TrustSection {
  bool provisional = false;  // a position while the trust is building
  Withhold withhold = Withhold::kPosition;
  friend bool operator==(const TrustSection&, const TrustSection&) = default;
};

// Positions that the station computes from what it has recorded.
struct SolveSection {
  bool growth = true;    // every hour, of the last day
  bool day = true;       // of every whole day, by phases
  bool fetch = false;    // brings the product files that are missing
  std::string archives;  // whom to ask for them; docs/fetch.md
  std::string products;  // a folder that the owner fills
  // Files; empty: what the folder has.
  std::string antennas, loading, earth;
  std::uint32_t memory_mb = 300;   // of the process, 1024 * 1024 bytes each
  std::uint32_t longest_min = 60;  // it is ended then
  friend bool operator==(const SolveSection&, const SolveSection&) = default;
};

struct ConsoleSection {
  std::optional<ListenAddress> listen = ListenAddress{"127.0.0.1", 8080};
  std::string certificate, key;  // as of RoversSection
  friend bool operator==(const ConsoleSection&,
                         const ConsoleSection&) = default;
};

// Plain HTTP is for this computer and private addresses without a certificate;
// all else is TLS, without a certificate of the owner's with the station's own.
bool console_uses_tls(const ConsoleSection& console);

struct HealthSection {
  std::optional<ListenAddress> listen = ListenAddress{"127.0.0.1", 9101};
  friend bool operator==(const HealthSection&, const HealthSection&) = default;
};

using stillpoint::LogFormat;

struct LogSection {
  LogLevel level = LogLevel::kInfo;
  LogFormat format = LogFormat::kText;
  friend bool operator==(const LogSection&, const LogSection&) = default;
};

struct StationConfig {
  StationSection station;
  ReceiverSection receiver;
  AntennaSection antenna;
  ArchiveSection archive;
  RoversSection rovers;
  std::vector<MountpointSection> mountpoints = {MountpointSection{}};
  TrustSection trust;
  SolveSection solve;
  ConsoleSection console;
  HealthSection health;
  LogSection log;
  friend bool operator==(const StationConfig&, const StationConfig&) = default;
};

// Says what is wrong with the text of a source, with the remedy, and repeats
// no password. net::parse_source() does, which this module may not use.
using SourceCheck = std::function<Status(std::string_view)>;

// Whether an entry of nav_sources is a source; else it is the path of a
// navigation file.
bool is_source(std::string_view entry);

//   toml          the file's text, at most 64 KiB
//   name          what stands in front of line and column: the file's name
//   check_source  not empty; asked for every source in the file
//   errors        kConfig: all mistakes (the first 20 in full, the others
//                 counted), a line each, with "name:line:column", the value,
//                 what is allowed and what to write; where and remedy are those
//                 of the first. A text that is no TOML has one.
Result<StationConfig> parse_station_config(std::string_view toml,
                                           std::string_view name,
                                           const SourceCheck& check_source);

// What check-config prints of such an error: the lines, each with its remedy.
std::string mistake_lines(const Error& error);

}  // namespace stillpoint::config
