// The list of what a caster has, read and written.
//
//   source   field order: RTCM 10410.1 as in published records, see
//            tests/vectors/ntrip.txt; a field that holds a semicolon stands in
//            double quotes (RTCM 10410.0)
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::ntrip {

// Numbers that a record leaves out, or that are none, are missing.
struct StreamRecord {  // STR
  std::string mountpoint, identifier;
  std::string format;          // "RTCM 3.3"
  std::string format_details;  // "1005(10),1077(1)": message(period in s)
  std::optional<int> carrier;  // 0 none, 1 L1, 2 L1 and L2
  std::string nav_system;      // "GPS+GLO+GAL"
  std::string network;
  std::string country;  // ISO 3166-1, three letters
  std::optional<double> latitude_deg, longitude_deg;
  std::optional<bool> wants_gga;  // the client must send its position
  std::optional<int> solution;    // 0 single base, 1 network
  std::string generator;
  std::string compression;
  std::string authentication;  // N none, B basic, D digest
  std::string fee;             // N or Y
  std::optional<int> bitrate;  // bit/s
  std::string misc;

  bool operator==(const StreamRecord&) const = default;
};

struct CasterRecord {  // CAS
  std::string host;
  std::optional<int> port;
  std::string identifier, operated_by;
  std::optional<bool> takes_gga;
  std::string country;
  std::optional<double> latitude_deg, longitude_deg;
  std::string fallback_host;
  std::optional<int> fallback_port;
  std::string misc;

  bool operator==(const CasterRecord&) const = default;
};

struct NetworkRecord {  // NET
  std::string identifier, operated_by;
  std::string authentication, fee;
  std::string web_network, web_stream, web_register;
  std::string misc;

  bool operator==(const NetworkRecord&) const = default;
};

// A line of another type, as it is.
struct OtherRecord {
  std::string line;

  bool operator==(const OtherRecord&) const = default;
};

using SourcetableRecord =
    std::variant<StreamRecord, CasterRecord, NetworkRecord, OtherRecord>;

struct SourcetableProblem {
  std::size_t line = 0;  // from 1
  std::string what;
};

struct Sourcetable {
  std::vector<SourcetableRecord> records;
  bool complete = false;  // ENDSOURCETABLE was there

  // From reading: lines left out or read in part; of many, the first ones.
  std::vector<SourcetableProblem> problems;
  std::size_t problem_count = 0;

  // The streams, in order.
  [[nodiscard]] std::vector<const StreamRecord*> streams() const;
};

inline constexpr std::size_t kMaxTableBytes = std::size_t{16} * 1024 * 1024;
inline constexpr std::size_t kMaxTableLines = 100'000;
inline constexpr std::size_t kMaxTableProblems = 100;

// Reads the body of a table. Damaged lines are named in `problems`; what can be
// read of them is kept where they have a name. Control characters become
// blanks.
//
//   errors   kTooLarge
Result<Sourcetable> parse_sourcetable(std::string_view text);

// The records and ENDSOURCETABLE, lines ending with CRLF; read again they are
// the same.
std::string format_sourcetable(const Sourcetable& table);

}  // namespace stillpoint::ntrip
