#include "stillpoint/app/locate_args.h"

#include <CLI/CLI.hpp>
#include <filesystem>
#include <system_error>
#include <utility>

#include "stillpoint/app/locate_job.h"
#include "stillpoint/app/option_values.h"
#include "stillpoint/core/text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr const char* kSeeHelp = "see stillpoint locate --help";

tl::unexpected<Error> usage(std::string what, std::string remedy = kSeeHelp) {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Status read_words(const std::vector<std::string>& words, LocateWords& raw) {
  CLI::App app;
  app.set_help_flag();
  app.add_option("OBS", raw.observations)->expected(1, -1);
  app.add_option("--nav", raw.navigation)->expected(1, -1);
  app.add_option("--orbits", raw.orbits)->expected(1, -1);
  app.add_option("--clocks", raw.clocks)->expected(1, -1);
  app.add_option("--biases", raw.biases)->expected(1, -1);
  app.add_option("--antennas", raw.antennas)->expected(1, -1);
  app.add_option("--offsets", raw.offsets)->expected(1, -1);
  app.add_option("--earth", raw.earth);
  app.add_option("--loading", raw.loading);
  app.add_option("--ambiguities", raw.ambiguities);
  app.add_option("--report", raw.report);
  app.add_option("--without", raw.without)->expected(1, -1);
  app.add_option("--method", raw.method);
  app.add_option("--systems", raw.systems);
  app.add_option("--start", raw.start);
  app.add_option("--end", raw.end);
  app.add_option("--elevation-mask", raw.mask);
  app.add_option("--out", raw.out);
  app.add_option("--archives", raw.archives);
  app.add_option("--cache", raw.cache);
  app.add_option("--job", raw.job);
  app.add_flag("--fetch", raw.fetch);
  app.add_flag("--help", raw.help);
  std::vector<std::string> reversed(words.rbegin(), words.rend());
  try {
    app.parse(reversed);
  } catch (const CLI::Error& e) {
    return usage(e.what());
  }
  return ok();
}

// Without a word about it: the phases where orbits and clocks are given or
// fetched.
Result<LocateMethod> read_method(const LocateWords& raw) {
  const bool ppp_files =
      (!raw.orbits.empty() && !raw.clocks.empty()) || raw.fetch;
  if (raw.method.empty()) {
    return ppp_files ? LocateMethod::kPpp : LocateMethod::kCode;
  }
  if (raw.method == "code") {
    return LocateMethod::kCode;
  }
  if (raw.method != "ppp") {
    return usage("--method '" + raw.method + "' is not a method",
                 "give --method code or --method ppp");
  }
  if (raw.orbits.empty() && !raw.fetch) {
    return usage("--method ppp needs precise orbits",
                 "give orbit files (SP3) with --orbits and clock files with "
                 "--clocks, have them brought with --fetch, or use --method "
                 "code");
  }
  return LocateMethod::kPpp;
}

Status check_ambiguities(const std::string& word) {
  if (word.empty() || word == "auto" || word == "float") {
    return ok();
  }
  return usage("--ambiguities '" + word + "' is not a choice",
               "give --ambiguities auto or --ambiguities float");
}

Status check_clocks(const LocateWords& raw) {
  if (!raw.clocks.empty() && raw.orbits.empty() && !raw.fetch) {
    return usage("--clocks without --orbits",
                 "clock files go with the orbit files of the same agency: "
                 "give them with --orbits");
  }
  return ok();
}

Status check_fetch(const LocateWords& raw) {
  if (raw.fetch && raw.archives.empty()) {
    return usage(
        "--fetch without --archives: nobody is asked whom you have "
        "not named",
        "copy examples/archives.toml, write the archives that you "
        "may use into it (docs/fetch.md), and give it with "
        "--archives");
  }
  if (!raw.fetch && !(raw.archives.empty() && raw.cache.empty())) {
    return usage(std::string(raw.archives.empty() ? "--cache" : "--archives") +
                     " without --fetch",
                 "add --fetch to have the files brought, or leave it out");
  }
  return ok();
}

Status check_outputs(const LocateWords& raw) {
  if (!raw.out.empty() && raw.out == raw.report) {
    return usage("--out and --report are the same file",
                 "give the page a name of its own, such as report.html");
  }
  std::error_code code;
  if (!raw.working_folder.empty() &&
      !std::filesystem::is_directory(raw.working_folder, code)) {
    return usage("working-folder '" + raw.working_folder +
                     "' is not a folder that can be used",
                 "make it before the start, or leave the key out");
  }
  return ok();
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

// A job holds all that there is to say.
Status check_alone(const std::vector<std::string>& words) {
  for (std::size_t at = 0; at < words.size(); ++at) {
    if (words[at] == "--job") {
      ++at;
    } else if (!words[at].starts_with("--job=")) {
      return usage("'" + words[at] + "' beside --job",
                   "write it into the job file (docs/formats/locate-job.md); "
                   "only --json goes with --job");
    }
  }
  return ok();
}

Result<LocateArgs> check_words(LocateWords raw) {
  LocateArgs args;
  if (raw.observations.empty()) {
    return usage("no observation file",
                 "give at least one: stillpoint locate OBS… --nav NAV…");
  }
  const auto method = read_method(raw);
  const auto systems = read_systems(raw.systems);
  const auto mask = read_mask(raw.mask);
  if (!method) {
    return fail(method.error());
  }
  for (const Status& status : {check_clocks(raw),
                               check_ambiguities(raw.ambiguities),
                               read_time("--start", raw.start, args.start),
                               read_time("--end", raw.end, args.end),
                               read_terms(raw.without, args),
                               check_fetch(raw),
                               check_outputs(raw)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  if (!systems) {
    return fail(systems.error());
  }
  if (!mask) {
    return fail(mask.error());
  }
  if (args.start && args.end && *args.end <= *args.start) {
    return usage("--end is not after --start",
                 "the span is half open: --start is in, --end is out");
  }
  args.method = *method;
  args.systems = *systems;
  args.elevation_mask_deg = *mask;
  args.integers = raw.ambiguities != "float";
  args.observations = std::move(raw.observations);
  args.navigation = std::move(raw.navigation);
  args.orbits = std::move(raw.orbits);
  args.clocks = std::move(raw.clocks);
  args.biases = std::move(raw.biases);
  args.antennas = std::move(raw.antennas);
  args.offsets = std::move(raw.offsets);
  args.earth = std::move(raw.earth);
  args.loading = std::move(raw.loading);
  args.out = std::move(raw.out);
  args.report = std::move(raw.report);
  args.fetch = raw.fetch;
  args.archives = std::move(raw.archives);
  args.cache = std::move(raw.cache);
  args.working_folder = std::move(raw.working_folder);
  return args;
}

Result<LocateArgs> parse_job(const std::string& path) {
  auto raw = read_locate_job(path);
  if (!raw) {
    return fail(std::move(raw.error()));
  }
  auto args = check_words(std::move(*raw));
  if (!args && args.error().where.empty()) {
    args.error().where = path;
  }
  return args;
}

}  // namespace

Result<LocateArgs> parse_locate(const std::vector<std::string>& words) {
  LocateWords raw;
  if (auto read = read_words(words, raw); !read) {
    return fail(std::move(read.error()));
  }
  if (raw.help) {
    LocateArgs args;
    args.help = true;
    return args;
  }
  if (raw.job.empty()) {
    return check_words(std::move(raw));
  }
  if (auto alone = check_alone(words); !alone) {
    return fail(std::move(alone.error()));
  }
  return parse_job(raw.job);
}

}  // namespace stillpoint::app
