#include "stillpoint/station/job_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using Json = nlohmann::ordered_json;

// What export reads on either side anyway.
constexpr double kApartS = 240;
constexpr const char* kSolveInterval = "30";

double apart_s(const RecordedSpan& span) {
  return std::max(std::abs((span.received_from - span.first).s),
                  std::abs((span.received_to - span.last).s));
}

std::string or_given(const std::string& given, const std::string& found) {
  return given.empty() ? found : given;
}

}  // namespace

std::optional<RecordedSpan> received_apart(
    const std::vector<RecordedSpan>& recorded, GnssTime start, GnssTime end) {
  std::optional<RecordedSpan> all;
  bool apart = false;
  for (const RecordedSpan& span : recorded) {
    if (span.last < start || span.first >= end) {
      continue;
    }
    apart = apart || apart_s(span) > kApartS;
    if (!all) {
      all = span;
      continue;
    }
    all->received_from = std::min(all->received_from, span.received_from);
    all->received_to = std::max(all->received_to, span.received_to);
    all->first = std::min(all->first, span.first);
    all->last = std::max(all->last, span.last);
  }
  return apart ? all : std::nullopt;
}

std::vector<std::string> export_words(
    const JobRequest& request,
    const std::string& config,
    const std::string& out,
    const std::optional<RecordedSpan>& received) {
  std::vector<std::string> words{"export",
                                 "--config",
                                 config,
                                 "--start",
                                 format_utc(request.start),
                                 "--end",
                                 format_utc(request.end),
                                 "--out",
                                 out,
                                 "--json"};
  const auto add = [&](std::initializer_list<std::string> more) {
    words.insert(words.end(), more);
  };
  if (received) {
    add({"--received-start", format_utc(received->received_from)});
    add({"--received-end", format_utc(received->received_to + Duration{1})});
  }
  if (request.kind != JobKind::kExport) {
    add({"--interval", kSolveInterval, "--hatanaka", "--gzip"});
    return words;
  }
  add({"--format", request.format});
  if (request.interval_s) {
    add({"--interval", fmt::format("{}", *request.interval_s)});
  }
  if (request.hatanaka) {
    add({"--hatanaka"});
  }
  if (request.gzip) {
    add({"--gzip"});
  }
  return words;
}

std::string locate_text(const JobRequest& request,
                        JobMethod method,
                        const SolveInputs& inputs) {
  const config::SolveSection& s = inputs.settings;
  std::vector<std::string> nav = inputs.exported.navigation;
  nav.insert(nav.end(), inputs.nav_files.begin(), inputs.nav_files.end());
  Json job = {{"observations", inputs.exported.observations},
              {"nav", nav},
              {"start", format_utc(request.start)},
              {"end", format_utc(request.end)},
              {"method", method == JobMethod::kPpp ? "ppp" : "code"},
              {"out", "record.json"},
              {"report", "report.html"},
              {"working-folder", "work"}};
  if (method == JobMethod::kPpp) {
    const ProductSet set = inputs.products.value_or(ProductSet{});
    job["orbits"] = set.orbits;
    job["clocks"] = set.clocks;
    job["biases"] = set.biases;
    const auto file = [&](const char* key, const std::string& path) {
      if (!path.empty()) {
        job[key] = path;
      }
    };
    const std::string antennas = or_given(s.antennas, set.antennas);
    job["antennas"] = antennas.empty() ? std::vector<std::string>{}
                                       : std::vector<std::string>{antennas};
    file("earth", or_given(s.earth, set.earth));
    file("loading", or_given(s.loading, set.loading));
    if (inputs.fetch) {
      job["fetch"] = true;
      job["archives"] = s.archives;
      job["cache"] = inputs.cache;
    }
  }
  return job.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace stillpoint::station
