// People of the console, and accounts of rovers.
#include <algorithm>

#include "stillpoint/api/console/json_answer.h"
#include "stillpoint/api/console/json_body.h"
#include "stillpoint/api/console/routes.h"

namespace stillpoint::api {
namespace {

std::optional<Role> role_of(const std::string& name) {
  return name == "owner"    ? std::optional(Role::kOwner)
         : name == "helper" ? std::optional(Role::kHelper)
         : name == "guest"  ? std::optional(Role::kGuest)
                            : std::nullopt;
}

Problem refused(const char* field, std::string detail) {
  return {422, "refused", std::move(detail), "", field, {}};
}

net::HttpResponse nobody() {
  return problem_answer(
      {404, "not_found", "There is no account of that name.", "", "", {}});
}

// A store's refusal: what is taken, or the last owner, is a conflict.
net::HttpResponse store_answer(const Error& error) {
  if (error.code == ErrorCode::kUsage) {
    return problem_answer({409, "conflict", error.what, error.remedy, "", {}});
  }
  if (error.code == ErrorCode::kNoData) {
    return nobody();
  }
  return problem_of(error);
}

net::HttpResponse empty_answer() {
  net::HttpResponse answer;
  answer.status = 204;
  return answer;
}

// The hash of a new password.
tl::expected<std::string, net::HttpResponse> hashed(std::string password) {
  if (const Status good = people::check_new_password(password); !good) {
    return tl::unexpected(
        problem_answer(refused("password", good.error().what)));
  }
  auto hash = people::hash_password(password);
  people::wipe(password);
  if (!hash) {
    return tl::unexpected(problem_of(hash.error()));
  }
  return std::move(*hash);
}

// The account, if it is one of the console's or one of the rovers'.
tl::expected<User, net::HttpResponse> find(Call& call, bool person) {
  auto found = call.backend.store().users().find(call.parts.front());
  if (!found) {
    return tl::unexpected(problem_of(found.error()));
  }
  if (!*found || (*found)->role.has_value() != person) {
    return tl::unexpected(nobody());
  }
  return std::move(**found);
}

Json person_json(const User& user) {
  return {{"name", user.name},
          {"role", role_name(user.role.value_or(Role::kGuest))},
          {"enabled", user.enabled}};
}

net::HttpResponse remove(Call& call, bool person) {
  const auto user = find(call, person);
  if (!user) {
    return user.error();
  }
  const Status removed =
      call.backend.store().users().remove(user->name, call.note());
  if (!removed) {
    return store_answer(removed.error());
  }
  call.backend.changed();
  return empty_answer();
}

void take_limits(JsonBody& body, User& user) {
  const JsonBody::Limit most = body.limit("max_connections");
  const JsonBody::Limit bytes = body.limit("max_bytes_per_hour");
  if (most.given) {
    user.max_connections = most.value;
  }
  if (bytes.given) {
    user.max_bytes_per_hour = bytes.value;
  }
}

}  // namespace

net::HttpResponse get_people(Call& call) {
  const auto users = call.backend.store().users().list();
  if (!users) {
    return problem_of(users.error());
  }
  Json people = Json::array();
  for (const User& user : *users) {
    if (user.role) {
      people.push_back(person_json(user));
    }
  }
  return json_answer(
      200,
      {{"schema_version", kApiSchemaVersion}, {"people", std::move(people)}});
}

net::HttpResponse post_person(Call& call) {
  JsonBody body(call.body);
  User user;
  user.name = body.text("name");
  std::string password = body.text("password");
  user.role = role_of(body.text("role"));
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  if (!user.role) {
    return problem_answer(refused("role", "One of owner, helper, guest."));
  }
  auto hash = hashed(std::move(password));
  if (!hash) {
    return hash.error();
  }
  user.secret_hash = std::move(*hash);
  const Status added = call.backend.store().users().add(user, call.note());
  if (!added) {
    if (added.error().code == ErrorCode::kOutOfRange) {
      return problem_answer(refused("name", added.error().what));
    }
    return store_answer(added.error());
  }
  call.backend.changed();
  return json_answer(
      201,
      {{"schema_version", kApiSchemaVersion}, {"person", person_json(user)}});
}

net::HttpResponse patch_person(Call& call) {
  auto user = find(call, true);
  if (!user) {
    return user.error();
  }
  JsonBody body(call.body);
  const auto role = body.maybe_text("role");
  const auto enabled = body.maybe_flag("enabled");
  auto password = body.maybe_text("password");
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  if (role) {
    user->role = role_of(*role);
    if (!user->role) {
      return problem_answer(refused("role", "One of owner, helper, guest."));
    }
  }
  user->enabled = enabled.value_or(user->enabled);
  if (password) {
    auto hash = hashed(std::move(*password));
    if (!hash) {
      return hash.error();
    }
    user->secret_hash = std::move(*hash);
  }
  Store& store = call.backend.store();
  // Whoever has a new password from an owner signs in anew everywhere.
  const Status changed =
      password ? store.console_access().change_secret(*user, "", call.note())
               : store.users().change(*user, call.note());
  if (!changed) {
    return store_answer(changed.error());
  }
  call.backend.changed();
  return json_answer(
      200,
      {{"schema_version", kApiSchemaVersion}, {"person", person_json(*user)}});
}

net::HttpResponse delete_person(Call& call) {
  return remove(call, true);
}

net::HttpResponse post_rover(Call& call) {
  JsonBody body(call.body);
  User user;
  user.kind = UserKind::kStream;
  user.name = body.text("name");
  take_limits(body, user);
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  auto token = call.backend.new_token();
  if (!token) {
    return problem_of(token.error());
  }
  user.secret_hash = token->hash;
  const Status added = call.backend.store().users().add(user, call.note());
  if (!added) {
    if (added.error().code == ErrorCode::kOutOfRange) {
      return problem_answer(refused("name", added.error().what));
    }
    return store_answer(added.error());
  }
  call.backend.changed();
  return json_answer(201,
                     {{"schema_version", kApiSchemaVersion},
                      {"name", user.name},
                      {"token", token->word}});
}

net::HttpResponse patch_rover(Call& call) {
  auto user = find(call, false);
  if (!user) {
    return user.error();
  }
  JsonBody body(call.body);
  user->enabled = body.maybe_flag("enabled").value_or(user->enabled);
  const bool new_token = body.maybe_flag("new_token").value_or(false);
  take_limits(body, *user);
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  Json answer = {{"schema_version", kApiSchemaVersion},
                 {"name", user->name},
                 {"token", nullptr}};
  if (new_token) {
    if (user->kind != UserKind::kStream) {
      return problem_answer(
          refused("new_token", "This account has a password, not a token."));
    }
    auto token = call.backend.new_token();
    if (!token) {
      return problem_of(token.error());
    }
    user->secret_hash = token->hash;
    answer["token"] = token->word;
  }
  const Status changed =
      call.backend.store().users().change(*user, call.note());
  if (!changed) {
    return store_answer(changed.error());
  }
  call.backend.changed();
  return json_answer(200, answer);
}

net::HttpResponse delete_rover(Call& call) {
  return remove(call, false);
}

}  // namespace stillpoint::api
