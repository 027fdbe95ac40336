// Any text as a job of `locate`. Oracle: what is refused is a usage error that
// says where, what and the remedy; what is accepted names observations and a
// record, has no control characters, has every relative path below the job's
// folder, and is read the same again.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/app/locate_job.h"
#include "stillpoint/core/check.h"

namespace {

using stillpoint::app::LocateWords;

void check_text(const std::string& text) {
  STILLPOINT_CHECK(std::none_of(text.begin(), text.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
  }));
}

void check_path(std::string_view path) {
  check_text(std::string(path));
  if (path.starts_with("file:")) {
    path.remove_prefix(5);
  }
  STILLPOINT_CHECK(path.starts_with("/") || path.starts_with("jobs/"));
}

void check_paths(const LocateWords& words) {
  for (const auto* list : {&words.observations,
                           &words.navigation,
                           &words.orbits,
                           &words.clocks,
                           &words.biases,
                           &words.antennas,
                           &words.offsets}) {
    for (const std::string& path : *list) {
      check_path(path);
    }
  }
  for (const auto* path : {&words.earth,
                           &words.loading,
                           &words.out,
                           &words.report,
                           &words.archives,
                           &words.cache,
                           &words.working_folder}) {
    if (!path->empty()) {
      check_path(*path);
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string text(data, data + size);
  const auto words = stillpoint::app::parse_locate_job(text, "fuzz", "jobs");
  if (!words) {
    const stillpoint::Error& error = words.error();
    STILLPOINT_CHECK(error.code == stillpoint::ErrorCode::kUsage);
    STILLPOINT_CHECK(error.where.starts_with("fuzz"));
    STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
    return 0;
  }
  STILLPOINT_CHECK(!words->observations.empty() && !words->out.empty());
  STILLPOINT_CHECK(words->job.empty() && !words->help);
  check_paths(*words);
  for (const auto* value : {&words->method,
                            &words->ambiguities,
                            &words->systems,
                            &words->start,
                            &words->end,
                            &words->mask}) {
    check_text(*value);
  }
  const auto again = stillpoint::app::parse_locate_job(text, "fuzz", "jobs");
  STILLPOINT_CHECK(again && again->observations == words->observations &&
                   again->without == words->without &&
                   again->out == words->out && again->mask == words->mask);
  return 0;
}
