#include "stillpoint/store/console_access.h"

#include <utility>

#include "stillpoint/store/database.h"
#include "stillpoint/store/logbook.h"
#include "stillpoint/store/record_check.h"
#include "stillpoint/store/user_rows.h"

namespace stillpoint {
namespace {

constexpr const char* kClaiming = "write the claim of the station";
constexpr const char* kReadingClaim = "read the claim of the station";
constexpr const char* kWriting = "write the sessions of the console";
constexpr const char* kReading = "read the sessions of the console";
constexpr std::size_t kMostSecretBytes = 512;

constexpr Sql kPutClaim =
    "REPLACE INTO console_claim (id, code_hash, made_gpst_ns, ends_gpst_ns)"
    " VALUES (1, ?1, ?2, ?3)";
constexpr Sql kGetClaim =
    "SELECT code_hash, made_gpst_ns, ends_gpst_ns FROM console_claim";
constexpr Sql kTakeClaim = "DELETE FROM console_claim WHERE code_hash = ?1";
constexpr Sql kInsert =
    "INSERT INTO console_sessions (secret_hash, user, csrf, made_gpst_ns,"
    " last_used_gpst_ns, ends_gpst_ns) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
constexpr Sql kFind =
    "SELECT secret_hash, user, csrf, made_gpst_ns, last_used_gpst_ns,"
    " ends_gpst_ns FROM console_sessions WHERE secret_hash = ?1";
constexpr Sql kTouch =
    "UPDATE console_sessions SET last_used_gpst_ns = ?2"
    " WHERE secret_hash = ?1";
constexpr Sql kDelete = "DELETE FROM console_sessions WHERE secret_hash = ?1";
constexpr Sql kDeleteEnded =
    "DELETE FROM console_sessions"
    " WHERE ends_gpst_ns <= ?1 OR last_used_gpst_ns <= ?2";
constexpr Sql kDeleteBeyond =
    "DELETE FROM console_sessions WHERE user = ?1 AND secret_hash NOT IN"
    " (SELECT secret_hash FROM console_sessions WHERE user = ?1"
    " ORDER BY last_used_gpst_ns DESC, made_gpst_ns DESC LIMIT ?2)";
constexpr Sql kDeleteOthers =
    "DELETE FROM console_sessions WHERE user = ?1 AND secret_hash <> ?2";

Status enter(Database& database, const LogEntry& entry) {
  const Result<std::int64_t> written = Logbook(database).append(entry);
  if (!written) {
    return fail(written.error());
  }
  return ok();
}

Status check(const SessionRow& session) {
  return check_line(
             session.secret_hash, "the hash of a session", kMostSecretBytes)
      .and_then([&](auto) {
        return check_line(
            session.csrf, "the word of a session", kMostSecretBytes);
      });
}

Status insert(Database& database, const SessionRow& session) {
  Result<Query> query = database.query(kInsert, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, std::string_view(session.secret_hash))
      .bind(2, std::string_view(session.user))
      .bind(3, std::string_view(session.csrf))
      .bind(4, session.made.ns())
      .bind(5, session.last_used.ns())
      .bind(6, session.ends.ns())
      .finish();
}

Status remove_ended(Database& database, GnssTime now, GnssTime idle_since) {
  Result<Query> query = database.query(kDeleteEnded, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, now.ns()).bind(2, idle_since.ns()).finish();
}

// Makes room for one more of the user.
Status remove_beyond(Database& database, std::string_view user) {
  Result<Query> query = database.query(kDeleteBeyond, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, user)
      .bind(2, static_cast<std::int64_t>(ConsoleAccess::kMostSessions - 1))
      .finish();
}

Status bring_in(Database& database,
                const SessionRow& session,
                const Arrival& arrival) {
  return remove_ended(database, session.made, arrival.idle_since)
      .and_then([&](auto) { return remove_beyond(database, session.user); })
      .and_then([&](auto) { return insert(database, session); });
}

// As take_claim() says.
Status put_owner(Database& database, const User& owner, GnssTime at) {
  const ChangeNote note{at, "the claim of the station"};
  Result<std::optional<User>> there = Users(database).find(owner.name);
  if (!there) {
    return fail(std::move(there.error()));
  }
  if (!*there || (*there)->role != Role::kOwner) {
    return add_user(database, owner, note);
  }
  User changed = std::move(**there);
  changed.secret_hash = owner.secret_hash;
  changed.enabled = true;
  return change_user(database, changed, SameSecret::kNo, note);
}

// Removes the row; whether there was one.
Result<bool> take(Database& database, std::string_view code_hash) {
  Result<Query> query = database.query(kTakeClaim, kClaiming);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Status done = query->bind(1, code_hash).finish();
  if (!done) {
    return fail(done.error());
  }
  return database.changed_rows() > 0;
}

Status remove_others(Database& database,
                     std::string_view user,
                     std::string_view kept) {
  Result<Query> query = database.query(kDeleteOthers, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, user).bind(2, kept).finish();
}

}  // namespace

Status ConsoleAccess::open_claim(const ClaimRow& claim,
                                 const ChangeNote& note) {
  Status valid =
      check_line(claim.code_hash, "the hash of a claim code", kMostSecretBytes);
  if (!valid) {
    return valid;
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kClaiming);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  {
    Result<Query> query = database_->query(kPutClaim, kClaiming);
    if (!query) {
      return fail(std::move(query.error()));
    }
    Status put = query->bind(1, std::string_view(claim.code_hash))
                     .bind(2, claim.made.ns())
                     .bind(3, claim.ends.ns())
                     .finish();
    if (!put) {
      return put;
    }
  }
  return enter(*database_,
               {note.at,
                LogKind::kClaimOpened,
                "a code to claim the station was made",
                {{"by", note.by}, {"ends_gpst_ns", claim.ends.ns()}}})
      .and_then([&](auto) { return transaction->commit(); });
}

Result<std::optional<ClaimRow>> ConsoleAccess::claim() const {
  Result<Query> query = database_->query(kGetClaim, kReadingClaim);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Result<bool> row = query->next();
  if (!row) {
    return fail(row.error());
  }
  return *row ? std::optional(ClaimRow{query->text(0),
                                       GnssTime::from_ns(query->integer(1)),
                                       GnssTime::from_ns(query->integer(2))})
              : std::nullopt;
}

Result<bool> ConsoleAccess::take_claim(std::string_view code_hash,
                                       const User& owner,
                                       const SessionRow& session,
                                       const Arrival& arrival) {
  const Status valid = check(session);
  if (!valid) {
    return fail(valid.error());
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kClaiming);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  const Result<bool> there = take(*database_, code_hash);
  if (!there) {
    return fail(there.error());
  }
  if (!*there) {
    return false;
  }
  const Status done =
      put_owner(*database_, owner, session.made)
          .and_then(
              [&](auto) { return bring_in(*database_, session, arrival); })
          .and_then([&](auto) {
            return enter(
                *database_,
                {session.made,
                 LogKind::kClaimed,
                 "the station was claimed by " + session.user,
                 {{"user", session.user}, {"address", arrival.address}}});
          })
          .and_then([&](auto) { return transaction->commit(); });
  if (!done) {
    return fail(done.error());
  }
  return true;
}

Status ConsoleAccess::sign_in(const SessionRow& session,
                              const Arrival& arrival) {
  Status valid = check(session);
  if (!valid) {
    return valid;
  }
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  const Result<std::optional<User>> user = Users(*database_).find(session.user);
  if (!user) {
    return fail(user.error());
  }
  if (!*user) {
    return fail(ErrorCode::kNoData,
                "the person who signs in is no user any more",
                database_->path(),
                "look at the list of users");
  }
  return bring_in(*database_, session, arrival)
      .and_then([&](auto) {
        return enter(*database_,
                     {session.made,
                      LogKind::kSignedIn,
                      session.user + " signed in",
                      {{"user", session.user}, {"address", arrival.address}}});
      })
      .and_then([&](auto) { return transaction->commit(); });
}

Result<std::optional<SessionRow>> ConsoleAccess::session(
    std::string_view secret_hash) const {
  Result<Query> query = database_->query(kFind, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const Result<bool> row = query->bind(1, secret_hash).next();
  if (!row) {
    return fail(row.error());
  }
  if (!*row) {
    return std::nullopt;
  }
  return SessionRow{query->text(0),
                    query->text(1),
                    query->text(2),
                    GnssTime::from_ns(query->integer(3)),
                    GnssTime::from_ns(query->integer(4)),
                    GnssTime::from_ns(query->integer(5))};
}

Status ConsoleAccess::touch(std::string_view secret_hash, GnssTime at) {
  Result<Query> query = database_->query(kTouch, kWriting);
  if (!query) {
    return fail(std::move(query.error()));
  }
  return query->bind(1, secret_hash).bind(2, at.ns()).finish();
}

Status ConsoleAccess::sign_out(std::string_view secret_hash, GnssTime at) {
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  const Result<std::optional<SessionRow>> there = session(secret_hash);
  if (!there) {
    return fail(there.error());
  }
  if (!*there) {
    return ok();
  }
  {
    Result<Query> query = database_->query(kDelete, kWriting);
    if (!query) {
      return fail(std::move(query.error()));
    }
    Status gone = query->bind(1, secret_hash).finish();
    if (!gone) {
      return gone;
    }
  }
  const std::string& user = (*there)->user;
  return enter(
             *database_,
             {at, LogKind::kSignedOut, user + " signed out", {{"user", user}}})
      .and_then([&](auto) { return transaction->commit(); });
}

Status ConsoleAccess::renew_secret(const User& user, const ChangeNote& note) {
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  return change_user(*database_, user, SameSecret::kYes, note)
      .and_then([&](auto) { return transaction->commit(); });
}

Status ConsoleAccess::change_secret(const User& user,
                                    std::string_view kept,
                                    const ChangeNote& note) {
  Result<Transaction> transaction = Transaction::begin(*database_, kWriting);
  if (!transaction) {
    return fail(std::move(transaction.error()));
  }
  return change_user(*database_, user, SameSecret::kYes, note)
      .and_then(
          [&](auto) { return remove_others(*database_, user.name, kept); })
      .and_then([&](auto) { return transaction->commit(); });
}

}  // namespace stillpoint
