#include "stillpoint/station/settings_map.h"

#include <string>

#include "stillpoint/config/text_rules.h"

namespace stillpoint::station {
namespace {

constexpr std::uint64_t kMegabyte = std::uint64_t{1} << 20U;
constexpr double kDayS = 86'400;

}  // namespace

RecordingLimits recording_limits(const config::ArchiveSection& section) {
  RecordingLimits limits;
  // The writer looks twice a second: what is promised is kept with its turn.
  limits.commit_after = Duration{section.commit_s - 0.5};
  limits.compression = static_cast<int>(section.compression);
  limits.keep_bytes = section.keep_mb * kMegabyte;
  limits.keep_age = Duration{section.keep_days * kDayS};
  limits.leave_free_bytes = section.leave_free_mb * kMegabyte;
  return limits;
}

ntrip::FanOutLimits fan_out_limits(const config::RoversSection& section) {
  ntrip::FanOutLimits limits;
  limits.most_rovers = section.most;
  // Room for those that are still asking, or are being told "too many".
  limits.most_connections = section.most + section.most / 5 + 100;
  limits.most_per_address = section.most_per_address;
  limits.lag_bytes = std::size_t{section.lag_kb} * 1024;
  limits.lag_age = std::chrono::seconds{section.lag_s};
  limits.write_deadline = std::chrono::seconds{section.write_deadline_s};
  limits.request_deadline = std::chrono::seconds{section.request_deadline_s};
  return limits;
}

compose::ComposerOptions composer_options(
    const config::RoversSection& section) {
  compose::ComposerOptions options;
  options.drop = config::message_types(section.drop);
  if (!section.station_id.empty()) {
    options.station_id = std::stoi(section.station_id);  // was checked
  }
  return options;
}

people::DoorConfig door_config(
    const std::vector<config::MountpointSection>& mounts) {
  people::DoorConfig config;
  for (const config::MountpointSection& mount : mounts) {
    config.mounts.push_back({mount.name, mount.open, mount.most});
  }
  return config;
}

}  // namespace stillpoint::station
