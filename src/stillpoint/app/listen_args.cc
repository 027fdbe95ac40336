#include "stillpoint/app/listen_args.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iterator>

#include "stillpoint/core/text.h"
#include "stillpoint/station/receiver_profile.h"

namespace stillpoint::app {
namespace {

constexpr double kLongestS = 366 * 86'400.0;

tl::unexpected<Error> usage(std::string what, std::string remedy) {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

}  // namespace

Result<ListenArgs> parse_listen(const std::vector<std::string>& words) {
  std::vector<std::string> sources, named, others;
  std::string time, profile;
  ListenArgs args;
  CLI::App app;
  app.set_help_flag();
  app.add_option("SOURCE", named)->expected(1, -1);
  app.add_option("--for", time)->take_last();
  app.add_option("--profile", profile)->take_last();
  app.add_flag("--help", args.help);
  // Standard input with options of its own is no option of the verb.
  std::partition_copy(
      words.rbegin(),
      words.rend(),
      std::back_inserter(sources),
      std::back_inserter(others),
      [](const std::string& word) { return word.starts_with("-?"); });
  try {
    app.parse(others);
  } catch (const CLI::ExtrasError&) {
    // The name alone: what stands behind a '=' may be a password.
    const std::string word = app.remaining().front();
    return usage("listen has no option " + word.substr(0, word.find('=')),
                 "see stillpoint listen --help");
  } catch (const CLI::Error& e) {
    return usage(e.what(), "see stillpoint listen --help");
  }
  if (args.help) {
    return args;
  }
  sources.insert(sources.end(), named.begin(), named.end());
  if (sources.size() != 1) {
    return usage(
        sources.empty() ? "listen needs a source" : "listen takes one source",
        "give one, such as serial:/dev/ttyACM0?baud=115200");
  }
  auto source = net::parse_source(sources.front());
  if (!source) {
    return fail(std::move(source.error()));
  }
  args.source = std::move(*source);
  if (!time.empty()) {
    const auto seconds = parse_duration_s(time);
    if (!seconds || !(*seconds > 0 && *seconds <= kLongestS)) {
      return usage("--for '" + time + "' is not a time to listen",
                   "give a number with s, m or h, such as --for 10s");
    }
    args.for_s = *seconds;
  }
  if (!profile.empty()) {
    auto read = station::load_profile(profile);
    if (!read) {
      return fail(std::move(read.error()));
    }
    args.framings = std::move(read->framings);
  }
  return args;
}

}  // namespace stillpoint::app
