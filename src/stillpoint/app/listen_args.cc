#include "stillpoint/app/listen_args.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iterator>

#include "stillpoint/app/stream_source.h"
#include "stillpoint/core/text.h"

namespace stillpoint::app {
namespace {

constexpr std::size_t kLargestProfile = std::size_t{1} << 20;
constexpr double kLongestS = 366 * 86'400.0;

tl::unexpected<Error> usage(std::string what, std::string remedy) {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Result<std::string> read_text(const std::string& path) {
  auto reader = open_packed_file(path);
  if (!reader) {
    return fail(std::move(reader.error()));
  }
  std::string text(kLargestProfile, '\0');
  std::size_t size = 0;
  while (size < text.size()) {
    const auto n = (*reader)(std::span(text).subspan(size));
    if (!n) {
      return fail(n.error());
    }
    if (*n == 0) {
      text.resize(size);
      return text;
    }
    size += *n;
  }
  return fail(ErrorCode::kTooLarge, "this is no receiver profile", path);
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
    auto text = read_text(profile);
    if (!text) {
      return fail(std::move(text.error()));
    }
    auto framings = profile::parse_framings(*text, profile);
    if (!framings) {
      return fail(std::move(framings.error()));
    }
    args.framings = std::move(*framings);
  }
  return args;
}

}  // namespace stillpoint::app
