#include "stillpoint/app/locate_args.h"

#include <CLI/CLI.hpp>

#include "stillpoint/app/option_values.h"
#include "stillpoint/core/text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr const char* kSeeHelp = "see stillpoint locate --help";

// Options of the contract that later versions bring.
struct Later {
  const char* option;
  const char* instead;
};
constexpr Later kLater[] = {
    {"--clocks", "orbit files with clocks (SP3) are read by --orbits"},
    {"--biases", "leave it out; the answer names what is missing"},
    {"--antennas", "leave it out; the answer names what is missing"},
    {"--earth", "leave it out; code ranges do not need it"},
    {"--loading", "leave it out; code ranges do not need it"},
    {"--offsets", "leave it out; the answer names what is missing"},
    {"--ambiguities", "leave it out; code ranges have none"},
    {"--report", "use --json or the text"},
    {"--job", "give the options on the command line"},
    {"--fetch", "give the files with --nav or --orbits"},
};

tl::unexpected<Error> usage(std::string what, std::string remedy = kSeeHelp) {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

// The words as typed, before they are checked.
struct Raw {
  std::vector<std::string> observations, navigation, orbits, without;
  std::string method, systems, start, end, mask, out;
  bool help = false;
};

Status read_words(const std::vector<std::string>& words, Raw& raw) {
  CLI::App app;
  app.set_help_flag();
  app.add_option("OBS", raw.observations)->expected(1, -1);
  app.add_option("--nav", raw.navigation)->expected(1, -1);
  app.add_option("--orbits", raw.orbits)->expected(1, -1);
  app.add_option("--without", raw.without)->expected(1, -1);
  app.add_option("--method", raw.method);
  app.add_option("--systems", raw.systems);
  app.add_option("--start", raw.start);
  app.add_option("--end", raw.end);
  app.add_option("--elevation-mask", raw.mask);
  app.add_option("--out", raw.out);
  app.add_flag("--help", raw.help);
  std::vector<std::string> reversed(words.rbegin(), words.rend());
  try {
    app.parse(reversed);
  } catch (const CLI::Error& e) {
    return usage(e.what());
  }
  return ok();
}

Status check_later(const std::vector<std::string>& words) {
  for (const std::string& word : words) {
    for (const Later& later : kLater) {
      const std::string option = later.option;
      if (word == option || word.starts_with(option + "=")) {
        return usage(option + " is not in this version", later.instead);
      }
    }
  }
  return ok();
}

Status check_method(const std::string& method) {
  if (method.empty() || method == "code") {
    return ok();
  }
  if (method == "ppp") {
    return usage("--method ppp is not in this version",
                 "use --method code, or leave --method out");
  }
  return usage("--method '" + method + "' is not a method",
               "give --method code");
}

Result<solve::SystemSet> read_systems(const std::string& letters) {
  if (letters.empty()) {
    return solve::SystemSet::all();
  }
  solve::SystemSet set;
  for (const char letter : letters) {
    const auto system = system_from_letter(letter);
    if (!system || std::string("GRECJ").find(letter) == std::string::npos) {
      return usage(std::string("--systems: '") + letter +
                       "' is not one of the systems used",
                   "give letters out of G R E C J, such as --systems GE");
    }
    set.add(*system);
  }
  return set;
}

Result<double> read_mask(const std::string& text) {
  if (text.empty()) {
    return LocateArgs{}.elevation_mask_deg;
  }
  const auto value = parse_double(text);
  if (!value || !(*value >= 0 && *value < 60)) {
    return usage("--elevation-mask '" + text + "' is not an angle in use",
                 "give degrees from 0 to less than 60, such as 7");
  }
  return *value;
}

Status read_terms(const std::vector<std::string>& names, LocateArgs& args) {
  for (const std::string& name : names) {
    const auto term = solve::find_term(name);
    if (!term) {
      std::string allowed;
      for (const auto& row : solve::term_names()) {
        allowed += (allowed.empty() ? "" : ", ") + std::string(row.name);
      }
      return usage("--without: there is no term '" + name + "'",
                   "give terms out of: " + allowed);
    }
    args.without.add(*term);
    args.without_names.push_back(name);
  }
  return ok();
}

}  // namespace

Result<LocateArgs> parse_locate(const std::vector<std::string>& words) {
  if (auto later = check_later(words); !later) {
    return fail(std::move(later.error()));
  }
  Raw raw;
  if (auto read = read_words(words, raw); !read) {
    return fail(std::move(read.error()));
  }
  LocateArgs args;
  args.help = raw.help;
  if (raw.help) {
    return args;
  }
  if (raw.observations.empty()) {
    return usage("no observation file",
                 "give at least one: stillpoint locate OBS… --nav NAV…");
  }
  args.observations = std::move(raw.observations);
  args.navigation = std::move(raw.navigation);
  args.orbits = std::move(raw.orbits);
  args.out = std::move(raw.out);
  auto systems = read_systems(raw.systems);
  auto mask = read_mask(raw.mask);
  for (const Status& status : {check_method(raw.method),
                               read_time("--start", raw.start, args.start),
                               read_time("--end", raw.end, args.end),
                               read_terms(raw.without, args)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  if (!systems) {
    return fail(std::move(systems.error()));
  }
  if (!mask) {
    return fail(std::move(mask.error()));
  }
  args.systems = *systems;
  args.elevation_mask_deg = *mask;
  if (args.start && args.end && *args.end <= *args.start) {
    return usage("--end is not after --start",
                 "the span is half open: --start is in, --end is out");
  }
  return args;
}

}  // namespace stillpoint::app
