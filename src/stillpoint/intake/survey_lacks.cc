// What a base still lacks, out of what a survey saw.
#include <fmt/format.h>

#include <set>

#include "stillpoint/intake/survey.h"

namespace stillpoint::intake {
namespace {

constexpr double kSlowestS = 1.0;
constexpr double kSlack = 1.05;
constexpr double kLeastRadiusM = 6.3e6, kMostRadiusM = 6.4e6;

const char* ephemeris_types(System system) {
  switch (system) {
    case System::kGps:
      return "1019";
    case System::kGlonass:
      return "1020";
    case System::kGalileo:
      return "1045 or 1046";
    case System::kBeidou:
      return "1042";
    case System::kQzss:
      return "1044";
    case System::kNavic:
      return "1041";
    case System::kSbas:
      break;
  }
  return nullptr;
}

std::string joined(const std::set<int>& numbers) {
  std::string text;
  for (const int n : numbers) {
    text += (text.empty() ? "" : ", ") + std::to_string(n);
  }
  return text;
}

}  // namespace

void Survey::lacks_of_station(SurveyReport& report) const {
  auto& lacks = report.lacks;
  if (!station_.arp_m) {
    lacks.emplace_back(
        "no coordinate (1005 or 1006): rovers cannot use the stream");
  } else if (const double r = norm(*station_.arp_m);
             r < kLeastRadiusM || r > kMostRadiusM) {
    lacks.emplace_back(
        "the coordinate that is sent is no place on the ground: the receiver "
        "does not know its position yet");
  }
  if (!station_.antenna) {
    lacks.emplace_back(
        "no antenna descriptor (1007, 1008 or 1033): rovers cannot allow for "
        "the antenna");
  } else if (!antenna_named_) {
    lacks.emplace_back("the antenna descriptor is empty");
  }
  if (station_ids_.size() > 1) {
    lacks.push_back("the station id changes: " + joined(station_ids_));
  }
}

void Survey::lacks_of_signals(SurveyReport& report) const {
  auto& lacks = report.lacks;
  if (!whole_ranges_) {
    lacks.emplace_back(
        "ranges come without their whole milliseconds: MSM4 to MSM7 have them");
  }
  for (const System system : kSystems) {
    const auto& seen = report.systems[static_cast<std::size_t>(system)];
    if (!seen || seen->satellites == 0) {
      continue;
    }
    std::set<char> bands;
    for (const std::string& signal : seen->signals) {
      bands.insert(signal[0]);
    }
    if (bands.size() == 1 && system != System::kSbas) {
      lacks.push_back(fmt::format("only one frequency of {} ({})",
                                  system_name(system),
                                  fmt::join(seen->signals, ", ")));
    }
  }
  const auto& glonass =
      report.systems[static_cast<std::size_t>(System::kGlonass)];
  if (glonass && glonass->satellites > 0 && !biases_sent_) {
    lacks.emplace_back(
        "no GLONASS code-phase biases (1230): rovers of other makes cannot fix "
        "GLONASS");
  }
  for (const System system : kSystems) {
    const auto& seen = report.systems[static_cast<std::size_t>(system)];
    const char* types = ephemeris_types(system);
    if (seen && seen->satellites > 0 && seen->ephemerides == 0 &&
        types != nullptr) {
      lacks.push_back(
          fmt::format("no ephemerides of {} ({})", system_name(system), types));
    }
  }
}

void Survey::list_lacks(SurveyReport& report) const {
  if (report.bytes == 0) {
    report.lacks.emplace_back("no bytes arrive");
    return;
  }
  if (!report.any_frame()) {
    report.lacks.emplace_back(
        "bytes arrive but no frame in them: wrong speed?");
    return;
  }
  if (report.epochs.count == 0) {
    report.lacks.emplace_back(
        report.messages.empty()
            ? "no observations: no RTCM message at all"
            : "no observations: no MSM and none of the messages before it");
  }
  lacks_of_station(report);
  if (report.epochs.count > 0) {
    lacks_of_signals(report);
  }
  if (report.epochs.interval_s &&
      *report.epochs.interval_s > kSlowestS * kSlack) {
    report.lacks.push_back(
        fmt::format("an epoch every {:.4g} s: rovers expect one a second",
                    *report.epochs.interval_s));
  }
  for (std::string& text : contradictions_.found()) {
    report.lacks.push_back(std::move(text));
  }
}

}  // namespace stillpoint::intake
