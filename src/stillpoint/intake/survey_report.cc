// A survey's tallies as the values of its report.
#include "stillpoint/intake/survey_report.h"

#include <algorithm>

#include "stillpoint/intake/survey.h"
#include "stillpoint/rtcm/decoder.h"

namespace stillpoint::intake {

EpochsReport Survey::epochs_report() const {
  const Epochs& epochs = msm_.count > 0 ? msm_ : legacy_;
  EpochsReport report;
  report.count = epochs.count;
  std::uint64_t steps = 0;
  for (const auto& [step_ms, count] : epochs.steps_ms) {
    steps += count;
  }
  std::uint64_t so_far = 0;
  for (const auto& [step_ms, count] : epochs.steps_ms) {
    so_far += count;
    if (so_far * 2 >= steps) {
      report.interval_s = static_cast<double>(step_ms) / 1000;
      break;
    }
  }
  if (epochs.count > 0 && reader_.week_known()) {
    report.first = epochs.first;
    report.last = epochs.last;
  }
  return report;
}

std::optional<SystemReport> Survey::system_report(System system) const {
  SystemReport report;
  for (int number = 0; number < 100; ++number) {
    const auto index = static_cast<std::size_t>(
        SatId{system, static_cast<std::uint8_t>(number)}.index());
    report.satellites += observed_[index] ? 1U : 0U;
    report.ephemerides += ephemerides_[index] ? 1U : 0U;
  }
  if (report.satellites == 0 && report.ephemerides == 0) {
    return std::nullopt;
  }
  for (const SignalCode signal : signals_[static_cast<std::size_t>(system)]) {
    report.signals.push_back(signal.text());
  }
  return report;
}

void Survey::list_messages(SurveyReport& report) const {
  // Bytes may come faster than they were recorded (a pipe): what has no epoch
  // is then counted by the span of those that have.
  const Epochs& epochs = msm_.count > 0 ? msm_ : legacy_;
  const double over_s =
      std::max(report.seconds.value_or(0), (epochs.last - epochs.first).s);
  for (const auto& [type, tally] : tallies_) {
    MessageReport message{type,
                          tally.count,
                          tally.bytes,
                          type && rtcm::is_decoded_type(*type),
                          std::nullopt};
    if (tally.first) {
      const double span_s = (*tally.last - *tally.first).s;
      if (tally.epochs > 1 && span_s > 0) {
        message.rate_hz = static_cast<double>(tally.epochs - 1) / span_s;
      }
    } else if (over_s > 0) {
      message.rate_hz = static_cast<double>(tally.count) / over_s;
    }
    report.messages.push_back(message);
  }
}

SurveyReport Survey::report(std::optional<double> seconds) const {
  SurveyReport report;
  const StreamCounts counts = reader_.counts();
  report.bytes = counts.split.bytes;
  report.bad_crc = counts.split.bad_checksum;
  report.skipped_bytes = counts.split.skipped_bytes;
  report.malformed = counts.malformed;
  report.maker_packets =
      counts.split.frames[static_cast<std::size_t>(profile::FrameKind::kMaker)];
  report.epochs = epochs_report();
  const Epochs& epochs = msm_.count > 0 ? msm_ : legacy_;
  report.seconds = seconds;
  if (!seconds && epochs.count > 0) {
    report.seconds = (epochs.last - epochs.first).s;
  }
  list_messages(report);
  for (const auto& [type, count] : nmea_) {
    report.nmea.push_back({type, count});
  }
  report.station = station_;
  for (const System system : kSystems) {
    report.systems[static_cast<std::size_t>(system)] = system_report(system);
  }
  list_lacks(report);
  return report;
}

}  // namespace stillpoint::intake
