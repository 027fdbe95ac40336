// `stillpoint rovers`: the accounts of a station's rovers.
#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <optional>

#include "stillpoint/app/act_as_owner.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/rovers_args.h"
#include "stillpoint/app/rovers_change.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/people/secrets.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/station/settings_file.h"

namespace stillpoint::app {
namespace {

using Json = nlohmann::ordered_json;

const char* kind_name(UserKind kind) {
  return kind == UserKind::kPerson ? "person" : "stream";
}

// What a person has to do now, in one line; empty where it is nothing.
std::string next_step(const RoversChange& change) {
  const std::string_view what = change.what;
  std::string next;
  if (!change.token.empty()) {
    next =
        "write the name and the token into the rover, the token as its "
        "password; it is not shown again";
  } else if (what == "added") {
    next = "write the name and the password into the rover";
  } else if (what == "removed" || what == "disabled") {
    next = "a station that runs ends its connections within two minutes";
  }
  if (change.key_is_new) {
    next += "; a station that runs now knows tokens after a restart";
  }
  return next;
}

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

std::string document(const RoversArgs& args,
                     const RoversPlace& place,
                     const RoversChange& change,
                     const std::vector<User>& users) {
  Json accounts = Json::array();
  for (const User& user : users) {
    accounts.push_back(
        {{"name", user.name},
         {"kind", kind_name(user.kind)},
         {"enabled", user.enabled},
         {"max_connections", or_null(user.max_connections)},
         {"max_bytes_per_hour", or_null(user.max_bytes_per_hour)}});
  }
  Json changed = nullptr;
  if (args.action != RoversAction::kList) {
    const std::string next = next_step(change);
    changed = {
        {"change", change.what},
        {"name", args.name},
        {"token", change.token.empty() ? Json(nullptr) : Json(change.token)},
        {"next", next.empty() ? Json(nullptr) : Json(next)}};
  }
  return report::to_text({{"schema_version", report::kSchemaVersion},
                          {"database", place.database()},
                          {"changed", std::move(changed)},
                          {"accounts", std::move(accounts)}});
}

std::string limit_text(const std::optional<std::int64_t>& limit, double unit) {
  return limit ? fmt::format("{:g}", static_cast<double>(*limit) / unit)
               : "no limit";
}

std::string list_text(const std::vector<User>& users) {
  if (users.empty()) {
    return "no accounts; --add NAME makes one\n";
  }
  constexpr const char* kRow = "{:<24} {:<7} {:<8} {:>11} {:>11}\n";
  std::string text =
      fmt::format(kRow, "name", "kind", "enabled", "connections", "MB an hour");
  for (const User& user : users) {
    text += fmt::format(kRow,
                        user.name,
                        kind_name(user.kind),
                        user.enabled ? "yes" : "no",
                        limit_text(user.max_connections, 1),
                        limit_text(user.max_bytes_per_hour, 1024 * 1024));
  }
  return text;
}

std::string change_text(const RoversArgs& args, const RoversChange& change) {
  std::string text = fmt::format("{}: {}\n", change.what, args.name);
  if (!change.token.empty()) {
    text += fmt::format("token: {}\n", change.token);
  }
  const std::string next = next_step(change);
  return next.empty() ? text : text + "next: " + next + "\n";
}

Result<std::string> answer(const RoversArgs& args, bool json) {
  const auto config = station::read_settings(args.config);
  if (!config) {
    return fail(config.error());
  }
  // Before the rights change: the file may be root's.
  std::string password;
  if (args.password_file) {
    auto read = read_new_password(*args.password_file);
    if (!read) {
      return read;
    }
    password = std::move(*read);
  }
  const RoversPlace place{args.config, config->station.state};
  const Status ready = act_as_owner(
      place.state,
      "start the station once, with stillpoint run --config " + args.config +
          ", or name its folder in 'state' of [station]");
  if (!ready) {
    return fail(ready.error());
  }
  Result<Store> store = Store::open(place.database());
  if (!store) {
    return fail(std::move(store.error()));
  }
  Result<RoversChange> change =
      change_rovers(args, password, place, store->users());
  people::wipe(password);
  if (!change) {
    return fail(std::move(change.error()));
  }
  const auto users = store->users().list();
  if (!users) {
    return fail(users.error());
  }
  std::string text = json ? document(args, place, *change, *users)
                     : args.action == RoversAction::kList
                         ? list_text(*users)
                         : change_text(args, *change);
  people::wipe(change->token);
  return text;
}

}  // namespace

int run_rovers(const Arguments& arguments) {
  const auto args = parse_rovers(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpRovers) ? kExitGood : kExitSystem;
  }
  Result<std::string> text = answer(*args, arguments.json);
  if (!text && !arguments.json && text.error().code == ErrorCode::kConfig &&
      text.error().where.starts_with(args->config)) {
    print_note(config::mistake_lines(text.error()));
    return kExitInput;
  }
  if (!text) {
    return report_error(text.error(), arguments.json);
  }
  const bool printed = print_data(*text);
  people::wipe(*text);
  if (!printed && args->action != RoversAction::kList) {
    print_note(
        "stillpoint: the change is made, but the answer could not be printed; "
        "--new-token NAME replaces a token that was not seen\n");
  }
  return printed ? kExitGood : kExitSystem;
}

}  // namespace stillpoint::app
