#include "stillpoint/app/rovers_change.h"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include "stillpoint/people/secrets.h"
#include "stillpoint/people/server_key.h"
#include "stillpoint/station/clock.h"

namespace stillpoint::app {
namespace {

constexpr std::int64_t kMb = std::int64_t{1} << 20U;

ChangeNote note() {
  return {station::wall_now(), "command line"};
}

// A limit as it is written, 0 for none, to a limit as it is stored.
void set_limit(const std::optional<std::int64_t>& wanted,
               std::int64_t unit,
               std::optional<std::int64_t>& limit) {
  if (wanted) {
    limit = *wanted == 0 ? std::nullopt : std::optional(*wanted * unit);
  }
}

void set_limits(const RoversArgs& args, User& user) {
  set_limit(args.most, 1, user.max_connections);
  set_limit(args.mb_per_hour, kMb, user.max_bytes_per_hour);
}

// A new token, and its hash into the account.
Status give_token(const RoversPlace& place,
                  const Users& users,
                  User& user,
                  RoversChange& change) {
  const auto all = users.list();
  if (!all) {
    return fail(all.error());
  }
  const bool some = std::any_of(all->begin(), all->end(), [](const User& u) {
    return u.kind == UserKind::kStream;
  });
  std::error_code problem;
  change.key_is_new = !std::filesystem::exists(place.key(), problem);
  const Result<people::SecretKey> key = people::open_server_key(
      place.key(), some ? people::Tokens::kSome : people::Tokens::kNone);
  if (!key) {
    return fail(key.error());
  }
  people::NewToken token = people::make_stream_token(*key);
  user.secret_hash = std::move(token.hash);
  change.token = std::move(token.word);
  return ok();
}

Result<RoversChange> add(const RoversArgs& args,
                         const std::string& password,
                         const RoversPlace& place,
                         Users& users) {
  RoversChange change{"added", {}, false};
  User user;
  user.name = args.name;
  set_limits(args, user);
  if (password.empty()) {
    user.kind = UserKind::kStream;
    const Status given = give_token(place, users, user, change);
    if (!given) {
      return fail(given.error());
    }
  } else {
    Result<std::string> hash = people::hash_password(password);
    if (!hash) {
      return fail(std::move(hash.error()));
    }
    user.kind = UserKind::kPerson;
    user.secret_hash = std::move(*hash);
  }
  const Status added = users.add(user, note());
  if (!added) {
    return fail(added.error());
  }
  return change;
}

// Enables, disables, or gives a new token.
Result<RoversChange> alter(const RoversArgs& args,
                           const User& before,
                           const RoversPlace& place,
                           Users& users) {
  RoversChange change;
  User after = before;
  set_limits(args, after);
  if (args.action == RoversAction::kNewToken) {
    if (before.kind != UserKind::kStream) {
      return fail(ErrorCode::kUsage,
                  "'" + args.name + "' is a person, with a password",
                  place.database(),
                  "remove the account and add it with --password-file");
    }
    const Status given = give_token(place, users, after, change);
    if (!given) {
      return fail(given.error());
    }
    change.what = "changed";
  } else {
    after.enabled = args.action == RoversAction::kEnable;
    change.what = after == before                   ? "unchanged"
                  : after.enabled == before.enabled ? "changed"
                  : after.enabled                   ? "enabled"
                                                    : "disabled";
  }
  const Status changed = users.change(after, note());
  if (!changed) {
    return fail(changed.error());
  }
  return change;
}

}  // namespace

Result<RoversChange> change_rovers(const RoversArgs& args,
                                   const std::string& password,
                                   const RoversPlace& place,
                                   Users& users) {
  if (args.action == RoversAction::kList) {
    return RoversChange{};
  }
  const auto found = users.find(args.name);
  if (!found) {
    return fail(found.error());
  }
  // Before anything is made for an account that cannot come to be.
  if (args.action == RoversAction::kAdd && *found) {
    return fail(ErrorCode::kUsage,
                "there is an account '" + args.name + "' already",
                place.database(),
                "choose another name; --new-token gives a stream another "
                "token");
  }
  if (args.action == RoversAction::kAdd) {
    return add(args, password, place, users);
  }
  if (!*found) {
    return fail(
        ErrorCode::kNoData,
        "there is no account '" + args.name + "'",
        place.database(),
        "stillpoint rovers --config " + place.config + " lists the accounts");
  }
  if (args.action == RoversAction::kRemove) {
    const Status removed = users.remove(args.name, note());
    if (!removed) {
      return fail(removed.error());
    }
    return RoversChange{"removed", {}, false};
  }
  return alter(args, **found, place, users);
}

}  // namespace stillpoint::app
