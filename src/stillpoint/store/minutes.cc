#include "stillpoint/store/minutes.h"

#include <cmath>
#include <utility>

#include "stillpoint/store/database.h"
#include "stillpoint/store/plain_text.h"

namespace stillpoint {
namespace {

constexpr const char* kWriting = "write minute values";
constexpr const char* kReading = "read minute values";
constexpr const char* kErasing = "delete old minute values";
constexpr std::int64_t kMinuteNs = 60 * GnssTime::kNsPerS;
constexpr std::size_t kMostNameBytes = 80;

constexpr Sql kAddName = "INSERT OR IGNORE INTO series (name) VALUES (?1)";
constexpr Sql kAdd =
    "INSERT INTO minutes (minute_gpst_ns, series, count, sum, min, max)"
    " VALUES (?1, (SELECT id FROM series WHERE name = ?2), ?3, ?4, ?5, ?6)"
    " ON CONFLICT (minute_gpst_ns, series) DO UPDATE SET"
    " count = count + excluded.count, sum = sum + excluded.sum,"
    " min = min(min, excluded.min), max = max(max, excluded.max)";
constexpr Sql kRead =
    "SELECT minute_gpst_ns, count, sum, min, max FROM minutes"
    " WHERE minute_gpst_ns >= ?1 AND minute_gpst_ns < ?2"
    " AND series = (SELECT id FROM series WHERE name = ?3)"
    " ORDER BY minute_gpst_ns";
constexpr Sql kNames = "SELECT name FROM series ORDER BY name";
constexpr Sql kErase = "DELETE FROM minutes WHERE minute_gpst_ns < ?1";

Status check(const NamedMinute& minute) {
  const MinuteAggregate& v = minute.values;
  const char* wrong = nullptr;
  if (!is_plain_name(minute.name, kMostNameBytes)) {
    wrong = "has a name that is no line of 1 to 80 bytes";
  } else if (v.minute.ns() % kMinuteNs != 0) {
    wrong = "does not begin at a whole minute of GPST";
  } else if (v.count < 1) {
    wrong = "has no samples";
  } else if (!std::isfinite(v.sum) || !std::isfinite(v.min) ||
             !std::isfinite(v.max) || v.min > v.max) {
    wrong = "has values that are not finite, or a minimum above its maximum";
  }
  if (wrong == nullptr) {
    return ok();
  }
  return fail(
      ErrorCode::kOutOfRange,
      "a minute of '" + plain_line(minute.name, kMostNameBytes) + "' " + wrong);
}

Status add_one(Database& database, const NamedMinute& minute) {
  Result<Query> name = database.query(kAddName, kWriting);
  if (!name) {
    return fail(std::move(name.error()));
  }
  Status named = name->bind(1, std::string_view(minute.name)).finish();
  if (!named) {
    return named;
  }
  Result<Query> query = database.query(kAdd, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, minute.values.minute.ns())
      .bind(2, std::string_view(minute.name))
      .bind(3, minute.values.count)
      .bind(4, minute.values.sum)
      .bind(5, minute.values.min)
      .bind(6, minute.values.max)
      .finish();
}

}  // namespace

Status Minutes::add(std::span<const NamedMinute> batch) {
  for (const NamedMinute& minute : batch) {
    Status valid = check(minute);
    if (!valid) {
      return valid;
    }
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  for (const NamedMinute& minute : batch) {
    Status added = add_one(*database_, minute);
    if (!added) {
      return added;
    }
  }
  return transaction->commit();
}

Result<std::vector<MinuteAggregate>> Minutes::read(std::string_view name,
                                                   GnssTime from,
                                                   GnssTime end) const {
  Result<Query> query = database_->query(kRead, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  query->bind(1, from.ns()).bind(2, end.ns()).bind(3, name);
  std::vector<MinuteAggregate> minutes;
  for (;;) {
    const Result<bool> row = query->next();
    if (!row) {
      return fail(row.error());
    }
    if (!*row) {
      return minutes;
    }
    if (minutes.size() == kMostMinutes) {
      return fail(ErrorCode::kTooLarge,
                  "more than 144000 minutes in one question",
                  database_->path(),
                  "ask for 100 days at a time");
    }
    minutes.push_back({GnssTime::from_ns(query->integer(0)),
                       query->integer(1),
                       query->real(2),
                       query->real(3),
                       query->real(4)});
  }
}

Result<std::vector<std::string>> Minutes::names() const {
  Result<Query> query = database_->query(kNames, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  std::vector<std::string> names;
  for (;;) {
    const Result<bool> row = query->next();
    if (!row) {
      return fail(row.error());
    }
    if (!*row) {
      return names;
    }
    names.push_back(query->text(0));
  }
}

Result<std::int64_t> Minutes::erase_before(GnssTime first_kept) {
  Result<Query> query = database_->query(kErase, kErasing);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Status erased = query->bind(1, first_kept.ns()).finish();
  if (!erased) {
    return fail(erased.error());
  }
  return database_->changed_rows();
}

}  // namespace stillpoint
