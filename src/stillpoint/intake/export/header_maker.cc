#include "stillpoint/intake/export/header_maker.h"

#include <fmt/format.h>

#include <algorithm>

#include "stillpoint/time/scales.h"

namespace stillpoint::intake {
namespace {

constexpr std::size_t kMostRangesNamed = 10;
constexpr std::size_t kMostGapsNamed = 10;

double number_of(rinex::Version version) {
  switch (version) {
    case rinex::Version::k211:
      return 2.11;
    case rinex::Version::k305:
      return 3.05;
    case rinex::Version::k402:
      break;
  }
  return 4.02;
}

std::string clock_reading(GnssTime t) {
  const Calendar c = to_calendar(t, TimeScale::kGps);
  return fmt::format(
      "{:02}:{:02}:{:02}", c.hour, c.minute, static_cast<int>(c.second));
}

std::string gap_comment(const archive::Gap& gap) {
  const std::string times = fmt::format("{} to {}",
                                        clock_reading(gap.last_before),
                                        clock_reading(gap.first_after));
  if (gap.from == gap.to) {
    return fmt::format("{}: {}", times, gap_name(gap.reason));
  }
  return fmt::format(
      "{}: {} bytes {}", times, gap.to - gap.from, gap_name(gap.reason));
}

void add_station_comments(const PeriodFacts& facts,
                          std::vector<std::string>& comments) {
  if (facts.is_legacy()) {
    comments.emplace_back("from messages 1001 to 1012, codes to 0.02 m");
  }
  if (facts.station.biases &&
      !facts.epochs().satellites(System::kGlonass).empty()) {
    comments.emplace_back(facts.station.biases->aligned
                              ? "GLONASS biases as sent (1230), aligned"
                              : "GLONASS biases as sent (1230), not aligned");
  }
  switch (facts.station.quarter_cycle) {
    case rtcm::QuarterCycle::kCorrected:
      comments.emplace_back("quarter cycles between phases: corrected");
      break;
    case rtcm::QuarterCycle::kNotCorrected:
      comments.emplace_back("quarter cycles between phases: not corrected");
      break;
    case rtcm::QuarterCycle::kNotStated:
    case rtcm::QuarterCycle::kReserved:
      break;
  }
}

void set_systems(const EpochFacts& epochs,
                 const std::map<SatId, int>& channels,
                 rinex::ObservationHeader& header) {
  int count = 0;
  for (const System system : kSystems) {
    auto columns = epochs.columns(system);
    if (columns.empty()) {
      continue;
    }
    header.system = ++count == 1 ? system_letter(system) : 'M';
    header.columns[static_cast<std::size_t>(system)] = std::move(columns);
  }
  for (const SatId sat : epochs.satellites(System::kGlonass)) {
    const auto channel = channels.find(sat);
    if (channel != channels.end()) {
      header.glonass_channels.insert(*channel);
    }
  }
}

}  // namespace

const char* gap_name(archive::GapReason reason) {
  switch (reason) {
    case archive::GapReason::kDropped:
      return "dropped";
    case archive::GapReason::kDamaged:
      return "damaged";
    case archive::GapReason::kMissing:
      return "missing";
    case archive::GapReason::kInterrupted:
      break;
  }
  return "interrupted";
}

std::vector<std::string> origin_comments(std::span<const StreamRange> bytes) {
  std::vector<std::string> comments;
  for (const StreamRange& range :
       bytes.first(std::min(bytes.size(), kMostRangesNamed))) {
    comments.push_back(
        fmt::format("made of the recorded stream {:016x},", range.stream));
    comments.push_back(fmt::format("bytes {} to {}", range.from, range.to));
  }
  if (bytes.size() > kMostRangesNamed) {
    comments.push_back(
        fmt::format("and of {} more", bytes.size() - kMostRangesNamed));
  }
  return comments;
}

std::vector<std::string> gap_comments(const Period& period,
                                      std::span<const archive::Gap> gaps) {
  std::vector<std::string> comments;
  std::size_t count = 0;
  for (const archive::Gap& gap : gaps) {
    if (gap.first_after < period.start || gap.last_before >= period.end) {
      continue;
    }
    if (++count == 1) {
      comments.emplace_back("gaps of the recording, by times of reception:");
    }
    if (count <= kMostGapsNamed) {
      comments.push_back(gap_comment(gap));
    }
  }
  if (count > kMostGapsNamed) {
    comments.push_back(fmt::format("and {} more", count - kMostGapsNamed));
  }
  return comments;
}

rinex::ObservationHeader make_header(const ExportRequest& request,
                                     const Period& period,
                                     const PeriodFacts& facts,
                                     const std::map<SatId, int>& channels,
                                     std::span<const archive::Gap> gaps) {
  const EpochFacts& epochs = facts.epochs();
  rinex::ObservationHeader header;
  header.version = number_of(request.naming.version);
  header.program = request.program;
  header.run_by = request.run_by;
  header.run_date = request.run_date;
  header.marker_name = request.naming.station;
  describe_station(request.own, facts.station, header);
  const auto seen_s = epochs.interval_s();
  header.interval_s = seen_s ? seen_s : request.interval_s;
  header.first_obs = epochs.first();
  header.last_obs = epochs.last();
  header.leap_seconds =
      facts.station.leap_seconds.value_or(gps_minus_utc_s(epochs.first()));
  set_systems(epochs, channels, header);
  header.comments = origin_comments(epochs.bytes());
  if (request.interval_s) {
    header.comments.push_back(
        fmt::format("thinned to {:g} s; losses of lock between are kept",
                    *request.interval_s));
  }
  add_station_comments(facts, header.comments);
  const auto named = gap_comments(period, gaps);
  header.comments.insert(header.comments.end(), named.begin(), named.end());
  return header;
}

}  // namespace stillpoint::intake
