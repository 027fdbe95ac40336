// The logbook: what happened to the station, appended and never changed. The
// database itself refuses to change or delete an entry.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

class Database;

enum class LogKind : std::uint8_t {  // stored; never renumber
  kStarted = 1,
  kStopped = 2,
  kGap = 3,        // no data: cause
  kBytesLost = 4,  // first_byte, end_byte, from_gpst_ns, end_gpst_ns
  kSourceSilent = 5,
  kSourceBack = 6,
  kRoverCame = 7,
  kRoverWent = 8,  // reason, bytes
  kConfigurationChanged = 9,
  kSegmentGivenUp = 10,
  kClockStepped = 11,
  kCertificateReloaded = 12,
  kUserChanged = 13,    // change, user, by
  kRecordAdded = 14,    // record, origin, by
  kAdopted = 15,        // record, why, by
  kTrustChanged = 16,   // state, before
  kClaimOpened = 17,    // by
  kClaimed = 18,        // user, address
  kClaimRefused = 19,   // reason, count
  kSignedIn = 20,       // user, address
  kSignedOut = 21,      // user
  kSignInRefused = 22,  // count
  kSolveStarted = 23,
  kSolveEnded = 24,  // result
  kExportMade = 25,
};

// What is known of a kind: its name in JSON and in the database, and the keys
// that its details must have.
struct LogKindRow {
  LogKind kind;
  const char* name;
  std::span<const char* const> required;
};
std::span<const LogKindRow> log_kinds();
const char* log_kind_name(LogKind kind);

// One key and value. Keys are lower-case words with the unit as suffix, as in
// the program's JSON; instants are whole ns GPST, suffix _gpst_ns.
using LogValue = std::variant<std::int64_t, double, bool, std::string>;
struct LogDetail {
  std::string key;
  LogValue value;
  friend bool operator==(const LogDetail&, const LogDetail&) = default;
};

struct LogEntry {
  GnssTime at;
  LogKind kind = LogKind::kStarted;
  std::string text;  // one line for people
  std::vector<LogDetail> details;
  friend bool operator==(const LogEntry&, const LogEntry&) = default;
};

struct StoredEntry {
  std::int64_t id = 0;  // 1, 2, 3 ... in the order of writing
  LogEntry entry;
};

// Which entries, newest first (latest `at`, then latest written).
struct LogQuery {
  static constexpr std::size_t kMostEntries = 10'000;

  std::optional<GnssTime> from;  // at >= from
  std::optional<GnssTime> end;   // at < end
  std::vector<LogKind> kinds;    // empty: every kind
  std::size_t limit = 100;       // at most kMostEntries are given
  // For the next page: the (at, id) of the last entry of this one.
  std::optional<std::pair<GnssTime, std::int64_t>> before;
};

// threads  as its Store
class Logbook {
 public:
  // For Store, which has the connection.
  explicit Logbook(Database& database) : database_(&database) {}

  // Writes an entry. Once this has returned an id, the entry is on the disk
  // and survives the loss of power. Control characters of text and values
  // become blanks, bad UTF-8 is replaced, and both are cut (text 500 bytes,
  // values 200): an entry is never refused for what a stranger sent.
  //
  //   returns  the entry's id
  //   errors   kIo when the disk refuses: the entry may then be missing;
  //            kOutOfRange for a detail that is not finite; kInternal for keys
  //            that are no words, double or missing
  Result<std::int64_t> append(const LogEntry& entry);

  // Writes several entries as append() does each, for the price of one sync:
  // once this has returned, all are on the disk; after an error none is. For
  // what may come often, such as rovers that come and go.
  //
  //   errors   as append()
  Status append_all(std::span<const LogEntry> entries);

  //   errors   kIo; kBadFormat where the file is damaged
  Result<std::vector<StoredEntry>> read(const LogQuery& query) const;

 private:
  Database* database_;
};

}  // namespace stillpoint
