// What the console keeps about who may come in: the claim that is open, and the
// sessions of those who are in. Secrets come as hashes of another module's
// making and are opaque here. Every change and its logbook entry are one
// transaction.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/store/users.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

class Database;

struct ClaimRow {
  std::string code_hash;  // one line, 1..512 bytes
  GnssTime made, ends;
  friend bool operator==(const ClaimRow&, const ClaimRow&) = default;
};

struct SessionRow {
  std::string secret_hash;  // one line, 1..512 bytes
  std::string user;         // of Users
  std::string csrf;         // one line, 1..512 bytes
  GnssTime made, last_used, ends;
  friend bool operator==(const SessionRow&, const SessionRow&) = default;
};

// What a new session comes with.
struct Arrival {
  std::string address;  // from where, for the logbook
  // Sessions not used since, and those that have ended when the new one was
  // made, are removed.
  GnssTime idle_since;
};

// threads  as its Store
class ConsoleAccess {
 public:
  // Of one person; beyond it those that were not used longest go.
  static constexpr std::size_t kMostSessions = 20;

  // For Store, which has the connection.
  explicit ConsoleAccess(Database& database) : database_(&database) {}

  // In place of the claim that is open.
  //
  //   errors   kOutOfRange for a hash that cannot be; kIo
  Status open_claim(const ClaimRow& claim, const ChangeNote& note);
  // The claim that was opened last and not taken, whether it has ended or not.
  [[nodiscard]] Result<std::optional<ClaimRow>> claim() const;

  // If the claim with that code is still there: removes it, adds the owner and
  // the session. A person of that name who is an owner already gets the new
  // secret, is enabled, and loses the old sessions: this is how somebody who
  // has forgotten a password comes back.
  //
  //   returns  false where the claim is not there any more: taken, or replaced
  //   errors   kUsage for a name that another account has; kOutOfRange for an
  //            owner or session that cannot be; kIo
  Result<bool> take_claim(std::string_view code_hash,
                          const User& owner,
                          const SessionRow& session,
                          const Arrival& arrival);

  //   errors   kNoData where there is no such user; kOutOfRange for a session
  //            that cannot be; kIo
  Status sign_in(const SessionRow& session, const Arrival& arrival);
  [[nodiscard]] Result<std::optional<SessionRow>> session(
      std::string_view secret_hash) const;
  // Notes that the session was used. No entry in the logbook.
  Status touch(std::string_view secret_hash, GnssTime at);
  // Nothing happens where there is no such session.
  Status sign_out(std::string_view secret_hash, GnssTime at);

  // The same password hashed anew: sessions go on.
  //
  //   errors   as Users::change()
  Status renew_secret(const User& user, const ChangeNote& note);
  // Another password: the user's sessions end but the one of `kept`.
  //
  //   errors   as Users::change()
  Status change_secret(const User& user,
                       std::string_view kept,
                       const ChangeNote& note);

 private:
  Database* database_;
};

}  // namespace stillpoint
