// Changes of users as parts of a larger transaction, which is the caller's.
// Internal.
#pragma once

#include <cstdint>

#include "stillpoint/store/database.h"
#include "stillpoint/store/users.h"

namespace stillpoint {

//   errors   as Users::add()
Status add_user(Database& database, const User& user, const ChangeNote& note);

// Whether another secret_hash is a new hash of the old secret; then the user's
// sessions go on.
enum class SameSecret : std::uint8_t { kNo, kYes };

//   errors   as Users::change()
Status change_user(Database& database,
                   const User& user,
                   SameSecret same_secret,
                   const ChangeNote& note);

}  // namespace stillpoint
