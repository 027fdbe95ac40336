#include "stillpoint/app/rovers_args.h"

#include <CLI/CLI.hpp>
#include <array>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/people/secrets.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::app {
namespace {

constexpr std::int64_t kMostConnections = 100'000;
constexpr std::int64_t kMostMb = 1'000'000;

tl::unexpected<Error> usage(
    std::string what, std::string remedy = "see stillpoint rovers --help") {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Status read_limit(const char* option,
                  const std::optional<std::string>& text,
                  std::int64_t most,
                  std::optional<std::int64_t>& value) {
  if (!text) {
    return ok();
  }
  value = parse_int(*text);
  if (!value || *value < 0 || *value > most) {
    return usage(
        std::string(option) + " '" + *text + "' is not in range",
        "give a whole number, 0 (no limit) to " + std::to_string(most));
  }
  return ok();
}

// Which options go together.
Status check_fit(const RoversArgs& args) {
  const bool limits = args.most || args.mb_per_hour;
  if (limits && (args.action == RoversAction::kList ||
                 args.action == RoversAction::kRemove)) {
    return usage(
        "--most and --mb-per-hour need an account",
        "give them with --add NAME, or with --enable NAME for one that exists");
  }
  if (args.password_file && args.action != RoversAction::kAdd) {
    return usage("--password-file is for a new account",
                 "give it with --add NAME");
  }
  if (args.action == RoversAction::kAdd &&
      args.name.find(':') != std::string::npos) {
    return usage("the name '" + args.name + "' has a colon",
                 "leave it out: rovers send NAME:PASSWORD (RFC 7617)");
  }
  if (args.action != RoversAction::kList && args.name.empty()) {
    return usage("an account needs a name", "give one, such as ditch-1");
  }
  return ok();
}

}  // namespace

Result<RoversArgs> parse_rovers(const std::vector<std::string>& words) {
  struct Choice {
    const char* option;
    RoversAction action;
    std::optional<std::string> name;
  };
  std::array choices{Choice{"--add", RoversAction::kAdd, {}},
                     Choice{"--remove", RoversAction::kRemove, {}},
                     Choice{"--enable", RoversAction::kEnable, {}},
                     Choice{"--disable", RoversAction::kDisable, {}},
                     Choice{"--new-token", RoversAction::kNewToken, {}}};
  std::optional<std::string> most, mb_per_hour;
  RoversArgs args;
  CLI::App app;
  app.set_help_flag();
  app.add_option("--config", args.config)->take_last();
  for (Choice& choice : choices) {
    app.add_option(choice.option, choice.name);
  }
  app.add_option("--password-file", args.password_file)->take_last();
  app.add_option("--most", most)->take_last();
  app.add_option("--mb-per-hour", mb_per_hour)->take_last();
  app.add_flag("--help", args.help);
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::ExtrasError&) {
    // The name alone: what stands behind a '=' may be a password.
    const std::string word = app.remaining().front();
    return usage("rovers has no option " + word.substr(0, word.find('=')));
  } catch (const CLI::Error& e) {
    return usage(e.what());
  }
  if (args.help) {
    return args;
  }
  if (args.config.empty()) {
    return usage("rovers needs the station's configuration",
                 "give --config station.toml");
  }
  for (const Choice& choice : choices) {
    if (!choice.name) {
      continue;
    }
    if (args.action != RoversAction::kList) {
      return usage("one change at a time", "give one action with its NAME");
    }
    args.action = choice.action;
    args.name = *choice.name;
  }
  for (const Status& status :
       {read_limit("--most", most, kMostConnections, args.most),
        read_limit("--mb-per-hour", mb_per_hour, kMostMb, args.mb_per_hour),
        check_fit(args)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  return args;
}

Result<std::string> read_new_password(const std::string& file) {
  auto text = station::read_small_file(file == "-" ? "/dev/stdin" : file,
                                       people::kMostPasswordBytes + 2);
  if (!text) {
    return text;
  }
  for (const char end : {'\n', '\r'}) {
    if (text->ends_with(end)) {
      text->pop_back();
    }
  }
  Status good = people::check_new_password(*text);
  if (!good) {
    people::wipe(*text);
    good.error().where = file;
    return fail(std::move(good.error()));
  }
  return text;
}

}  // namespace stillpoint::app
