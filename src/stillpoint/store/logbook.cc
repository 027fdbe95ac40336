#include "stillpoint/store/logbook.h"

#include <algorithm>
#include <array>
#include <limits>
#include <tuple>

#include "stillpoint/store/database.h"
#include "stillpoint/store/log_details.h"
#include "stillpoint/store/plain_text.h"
#include "stillpoint/store/sqlite_error.h"

namespace stillpoint {
namespace {

constexpr const char* kAppending = "append to the logbook";
constexpr const char* kReading = "read the logbook";
constexpr std::size_t kMostTextBytes = 500;

constexpr Sql kAppend =
    "INSERT INTO logbook (at_gpst_ns, kind, text, details)"
    " VALUES (?1, ?2, ?3, ?4)";
constexpr Sql kReadAll =
    "SELECT id, at_gpst_ns, kind, text, details FROM logbook"
    " WHERE at_gpst_ns BETWEEN ?1 AND ?2 AND (at_gpst_ns < ?2 OR id < ?3)"
    " ORDER BY at_gpst_ns DESC, id DESC LIMIT ?4";
constexpr Sql kReadKind =
    "SELECT id, at_gpst_ns, kind, text, details FROM logbook"
    " WHERE kind = ?5"
    " AND at_gpst_ns BETWEEN ?1 AND ?2 AND (at_gpst_ns < ?2 OR id < ?3)"
    " ORDER BY at_gpst_ns DESC, id DESC LIMIT ?4";

constexpr const char* kGapKeys[] = {"cause"};
constexpr const char* kBytesLostKeys[] = {
    "first_byte", "end_byte", "from_gpst_ns", "end_gpst_ns"};
constexpr const char* kRoverWentKeys[] = {"reason", "bytes"};
constexpr const char* kUserChangedKeys[] = {"change", "user", "by"};
constexpr const char* kRecordAddedKeys[] = {"record", "origin", "by"};
constexpr const char* kAdoptedKeys[] = {"record", "why", "by"};
constexpr const char* kTrustChangedKeys[] = {"state", "before"};
constexpr const char* kClaimOpenedKeys[] = {"by"};
constexpr const char* kClaimedKeys[] = {"user", "address"};
constexpr const char* kClaimRefusedKeys[] = {"reason", "count"};
constexpr const char* kSignedInKeys[] = {"user", "address"};
constexpr const char* kSignedOutKeys[] = {"user"};
constexpr const char* kSignInRefusedKeys[] = {"count"};
constexpr const char* kSolveEndedKeys[] = {"result"};

constexpr std::array kKindRows{
    LogKindRow{LogKind::kStarted, "started", {}},
    LogKindRow{LogKind::kStopped, "stopped", {}},
    LogKindRow{LogKind::kGap, "gap", kGapKeys},
    LogKindRow{LogKind::kBytesLost, "bytes_lost", kBytesLostKeys},
    LogKindRow{LogKind::kSourceSilent, "source_silent", {}},
    LogKindRow{LogKind::kSourceBack, "source_back", {}},
    LogKindRow{LogKind::kRoverCame, "rover_came", {}},
    LogKindRow{LogKind::kRoverWent, "rover_went", kRoverWentKeys},
    LogKindRow{LogKind::kConfigurationChanged, "configuration_changed", {}},
    LogKindRow{LogKind::kSegmentGivenUp, "segment_given_up", {}},
    LogKindRow{LogKind::kClockStepped, "clock_stepped", {}},
    LogKindRow{LogKind::kCertificateReloaded, "certificate_reloaded", {}},
    LogKindRow{LogKind::kUserChanged, "user_changed", kUserChangedKeys},
    LogKindRow{LogKind::kRecordAdded, "record_added", kRecordAddedKeys},
    LogKindRow{LogKind::kAdopted, "adopted", kAdoptedKeys},
    LogKindRow{LogKind::kTrustChanged, "trust_changed", kTrustChangedKeys},
    LogKindRow{LogKind::kClaimOpened, "claim_opened", kClaimOpenedKeys},
    LogKindRow{LogKind::kClaimed, "claimed", kClaimedKeys},
    LogKindRow{LogKind::kClaimRefused, "claim_refused", kClaimRefusedKeys},
    LogKindRow{LogKind::kSignedIn, "signed_in", kSignedInKeys},
    LogKindRow{LogKind::kSignedOut, "signed_out", kSignedOutKeys},
    LogKindRow{LogKind::kSignInRefused, "sign_in_refused", kSignInRefusedKeys},
    LogKindRow{LogKind::kSolveStarted, "solve_started", {}},
    LogKindRow{LogKind::kSolveEnded, "solve_ended", kSolveEndedKeys},
    LogKindRow{LogKind::kExportMade, "export_made", {}},
};

// The query in the terms of the statements: from first to last, at `last`
// only ids below `id`.
struct Range {
  std::int64_t first = std::numeric_limits<std::int64_t>::min();
  std::int64_t last = std::numeric_limits<std::int64_t>::max();
  std::int64_t id = std::numeric_limits<std::int64_t>::max();
  std::int64_t limit = 0;
};

std::optional<Range> range_of(const LogQuery& query) {
  Range range;
  range.limit =
      static_cast<std::int64_t>(std::min(query.limit, LogQuery::kMostEntries));
  if (query.from) {
    range.first = query.from->ns();
  }
  if (query.before) {
    range.last = query.before->first.ns();
    range.id = query.before->second;
  }
  if (query.end && query.end->ns() <= range.last) {
    if (query.end->ns() <= range.first) {
      return std::nullopt;
    }
    range.last = query.end->ns() - 1;
    range.id = std::numeric_limits<std::int64_t>::max();
  }
  return range;
}

tl::unexpected<Error> unreadable(const Database& database, std::int64_t id) {
  return fail(
      ErrorCode::kBadFormat,
      "entry " + std::to_string(id) + " of the logbook cannot be understood",
      database.path(),
      kDamagedRemedy);
}

Result<StoredEntry> entry_of(const Query& row, const Database& database) {
  StoredEntry stored;
  stored.id = row.integer(0);
  stored.entry.at = GnssTime::from_ns(row.integer(1));
  stored.entry.text = row.text(3);
  const std::int64_t number = row.integer(2);
  const auto kinds = log_kinds();
  const auto known =
      std::find_if(kinds.begin(), kinds.end(), [&](const LogKindRow& kind) {
        return static_cast<std::int64_t>(kind.kind) == number;
      });
  std::optional<std::vector<LogDetail>> details =
      parse_log_details(row.text(4));
  if (known == kinds.end() || !details) {
    return unreadable(database, stored.id);
  }
  stored.entry.kind = known->kind;
  stored.entry.details = std::move(*details);
  return stored;
}

// Adds the entries of one kind, or of all, to `found`.
Status collect(Database& database,
               const Range& range,
               std::optional<LogKind> kind,
               std::vector<StoredEntry>& found) {
  Result<Query> query = database.query(kind ? kReadKind : kReadAll, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  query->bind(1, range.first)
      .bind(2, range.last)
      .bind(3, range.id)
      .bind(4, range.limit);
  if (kind) {
    query->bind(5, static_cast<std::int64_t>(*kind));
  }
  for (;;) {
    const Result<bool> row = query->next();
    if (!row) {
      return fail(row.error());
    }
    if (!*row) {
      return ok();
    }
    Result<StoredEntry> entry = entry_of(*query, database);
    if (!entry) {
      return fail(std::move(entry.error()));
    }
    found.push_back(std::move(*entry));
  }
}

Status write(Database& database, const LogEntry& entry) {
  const Result<std::string> details = format_log_details(entry);
  if (!details) {
    return fail(details.error());
  }
  const std::string text = plain_line(entry.text, kMostTextBytes);
  Result<Query> query = database.query(kAppend, kAppending);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, entry.at.ns())
      .bind(2, static_cast<std::int64_t>(entry.kind))
      .bind(3, std::string_view(text))
      .bind(4, std::string_view(*details))
      .finish();
}

bool is_newer(const StoredEntry& a, const StoredEntry& b) {
  return std::tuple(a.entry.at.ns(), a.id) > std::tuple(b.entry.at.ns(), b.id);
}

}  // namespace

std::span<const LogKindRow> log_kinds() {
  return kKindRows;
}

const char* log_kind_name(LogKind kind) {
  for (const LogKindRow& row : log_kinds()) {
    if (row.kind == kind) {
      return row.name;
    }
  }
  return "unknown";
}

Result<std::int64_t> Logbook::append(const LogEntry& entry) {
  const Status written = write(*database_, entry);
  if (!written) {
    return fail(written.error());
  }
  return database_->last_id();
}

Status Logbook::append_all(std::span<const LogEntry> entries) {
  if (entries.empty()) {
    return ok();
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kAppending);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  for (const LogEntry& entry : entries) {
    Status written = write(*database_, entry);
    if (!written) {
      return written;
    }
  }
  return transaction->commit();
}

Result<std::vector<StoredEntry>> Logbook::read(const LogQuery& query) const {
  std::vector<StoredEntry> found;
  const std::optional<Range> range = range_of(query);
  if (!range) {
    return found;
  }
  if (query.kinds.empty()) {
    const Status read = collect(*database_, *range, std::nullopt, found);
    if (!read) {
      return fail(read.error());
    }
    return found;
  }
  // A kind at a time, each along its own index; a kind given twice counts once.
  std::vector<LogKind> kinds = query.kinds;
  std::sort(kinds.begin(), kinds.end());
  kinds.erase(std::unique(kinds.begin(), kinds.end()), kinds.end());
  for (const LogKind kind : kinds) {
    const Status read = collect(*database_, *range, kind, found);
    if (!read) {
      return fail(read.error());
    }
    std::sort(found.begin(), found.end(), is_newer);
    if (found.size() > static_cast<std::size_t>(range->limit)) {
      found.resize(static_cast<std::size_t>(range->limit));
    }
  }
  return found;
}

}  // namespace stillpoint
