#include "stillpoint/store/position_records.h"

#include <limits>

#include "stillpoint/store/database.h"
#include "stillpoint/store/logbook.h"
#include "stillpoint/store/record_check.h"
#include "stillpoint/store/record_rows.h"
#include "stillpoint/store/sqlite_error.h"

namespace stillpoint {
namespace {

constexpr const char* kAdding = "add a position record";
constexpr const char* kAdopting = "adopt a position record";
constexpr const char* kReading = "read the position records";

constexpr Sql kFindDocument =
    "SELECT id FROM position_records"
    " WHERE document_sha256 <> '' AND document_sha256 = ?1";
constexpr Sql kAdopt =
    "INSERT INTO adoptions (record, at_gpst_ns, adopted_by, why)"
    " VALUES (?1, ?2, ?3, ?4)";
constexpr Sql kAdoptions =
    "SELECT id, record, at_gpst_ns, adopted_by, why FROM adoptions"
    " ORDER BY id DESC LIMIT ?1";

// The record with that document; nothing where there is none.
Result<std::optional<std::int64_t>> find_document(Database& database,
                                                  const std::string& sha256) {
  if (sha256.empty()) {
    return std::nullopt;
  }
  Result<Query> query = database.query(kFindDocument, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Result<bool> row = query->bind(1, std::string_view(sha256)).next();
  if (!row) {
    return fail(row.error());
  }
  return *row ? std::optional(query->integer(0)) : std::nullopt;
}

Result<std::vector<Adoption>> read_adoptions(Database& database,
                                             std::int64_t most) {
  Result<Query> query = database.query(kAdoptions, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  query->bind(1, most);
  std::vector<Adoption> adoptions;
  for (;;) {
    const Result<bool> row = query->next();
    if (!row) {
      return fail(row.error());
    }
    if (!*row) {
      return adoptions;
    }
    adoptions.push_back({query->integer(0),
                         query->integer(1),
                         GnssTime::from_ns(query->integer(2)),
                         query->text(3),
                         query->text(4)});
  }
}

Status enter_added(Database& database,
                   std::int64_t id,
                   const PositionRecord& record,
                   const ChangeNote& note) {
  const std::string origin = record_origin_name(record.origin);
  const Result<std::int64_t> written = Logbook(database).append(
      {note.at,
       LogKind::kRecordAdded,
       "position record " + std::to_string(id) + " added (" + origin +
           "): " + record.method + " in " + record.position.frame.name,
       {{"record", id},
        {"origin", origin},
        {"method", record.method},
        {"frame", record.position.frame.name},
        {"by", note.by}}});
  if (!written) {
    return fail(written.error());
  }
  return ok();
}

// `before`: the record that held until now, 0 for none.
Status enter_adopted(Database& database,
                     const Adoption& adoption,
                     std::int64_t before) {
  LogEntry entry{adoption.at,
                 LogKind::kAdopted,
                 "position record " + std::to_string(adoption.record) +
                     " adopted: " + adoption.why,
                 {{"record", adoption.record},
                  {"adoption", adoption.id},
                  {"why", adoption.why},
                  {"by", adoption.by}}};
  if (before != 0) {
    entry.details.push_back({"before", before});
  }
  const Result<std::int64_t> written = Logbook(database).append(entry);
  if (!written) {
    return fail(written.error());
  }
  return ok();
}

Status insert(Database& database, const Adoption& adoption) {
  Result<Query> query = database.query(kAdopt, kAdopting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, adoption.record)
      .bind(2, adoption.at.ns())
      .bind(3, std::string_view(adoption.by))
      .bind(4, std::string_view(adoption.why))
      .finish();
}

}  // namespace

const char* record_origin_name(RecordOrigin origin) {
  switch (origin) {
    case RecordOrigin::kStation:
      return "station";
    case RecordOrigin::kImported:
      return "imported";
    case RecordOrigin::kByHand:
      return "by_hand";
  }
  return "unknown";
}

Result<std::int64_t> PositionRecords::add(const PositionRecord& record,
                                          const ChangeNote& note) {
  const Status valid =
      check_line(note.by, "on whose behalf this is", kMostByBytes)
          .and_then([&](auto) { return check_record(record); });
  if (!valid) {
    return fail(valid.error());
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kAdding);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  const Result<std::optional<std::int64_t>> there =
      find_document(*database_, record.document_sha256);
  if (!there) {
    return fail(there.error());
  }
  if (*there) {
    return **there;
  }
  const Status inserted = insert_record(*database_, record, note);
  if (!inserted) {
    return fail(inserted.error());
  }
  const std::int64_t id = database_->last_id();
  const Status done =
      enter_added(*database_, id, record, note).and_then([&](auto) {
        return transaction->commit();
      });
  if (!done) {
    return fail(done.error());
  }
  return id;
}

Result<std::int64_t> PositionRecords::adopt(std::int64_t record,
                                            std::string_view why,
                                            const ChangeNote& note) {
  const Status valid =
      check_line(note.by, "on whose behalf this is", kMostByBytes)
          .and_then([&](auto) {
            return check_line(why, "the reason to adopt", kMostWhyBytes);
          });
  if (!valid) {
    return fail(valid.error());
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kAdopting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  const Result<std::optional<StoredRecord>> found =
      read_record(*database_, record, Documents::kLeftOut);
  if (!found) {
    return fail(found.error());
  }
  if (!*found) {
    return fail(ErrorCode::kNoData,
                "there is no position record " + std::to_string(record),
                database_->path(),
                "look at the list of records for its number");
  }
  const Result<std::vector<Adoption>> before = read_adoptions(*database_, 1);
  if (!before) {
    return fail(before.error());
  }
  Adoption adoption{0, record, note.at, note.by, std::string(why)};
  const Status inserted = insert(*database_, adoption);
  if (!inserted) {
    return fail(inserted.error());
  }
  adoption.id = database_->last_id();
  const Status done =
      enter_adopted(
          *database_, adoption, before->empty() ? 0 : before->front().record)
          .and_then([&](auto) { return transaction->commit(); });
  if (!done) {
    return fail(done.error());
  }
  return adoption.id;
}

Result<std::vector<StoredRecord>> PositionRecords::list() const {
  return read_records(*database_);
}

Result<std::optional<StoredRecord>> PositionRecords::find(
    std::int64_t id) const {
  return read_record(*database_, id, Documents::kRead);
}

Result<PositionRecords::Newest> PositionRecords::newest() const {
  const auto record =
      database_->number("SELECT coalesce(max(id), 0) FROM position_records",
                        "look for new position records");
  if (!record) {
    return fail(record.error());
  }
  const auto adoption = database_->number(
      "SELECT coalesce(max(id), 0) FROM adoptions", "look for new adoptions");
  if (!adoption) {
    return fail(adoption.error());
  }
  return Newest{*record, *adoption};
}

Result<std::vector<Adoption>> PositionRecords::adoptions() const {
  return read_adoptions(*database_, std::numeric_limits<std::int64_t>::max());
}

Result<std::optional<std::pair<StoredRecord, Adoption>>>
PositionRecords::adopted() const {
  // A later adoption between the two readings does not matter: records stay.
  Result<std::vector<Adoption>> newest = read_adoptions(*database_, 1);
  if (!newest) {
    return fail(std::move(newest.error()));
  }
  if (newest->empty()) {
    return std::nullopt;
  }
  Adoption& adoption = newest->front();
  Result<std::optional<StoredRecord>> record =
      read_record(*database_, adoption.record, Documents::kLeftOut);
  if (!record) {
    return fail(std::move(record.error()));
  }
  if (!*record) {
    return fail(ErrorCode::kBadFormat,
                "adoption " + std::to_string(adoption.id) +
                    " is of a position record that is not there",
                database_->path(),
                kDamagedRemedy);
  }
  return std::pair(std::move(**record), std::move(adoption));
}

}  // namespace stillpoint
