// Any text as a station.toml. Oracle: what is accepted equals itself, written
// out by the list of settings it is read back as the same, and a reload with it
// changes nothing; what is refused says where, what and the remedy.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/config/misplaced_keys.h"
#include "stillpoint/config/settings.h"
#include "stillpoint/config/station_changes.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/core/check.h"
#include "stillpoint/net/source_address.h"

namespace {

namespace config = stillpoint::config;

stillpoint::Status check_source(std::string_view text) {
  const auto address = stillpoint::net::parse_source(text);
  if (!address) {
    return stillpoint::fail(address.error());
  }
  return stillpoint::ok();
}

template <class S>
std::string written(std::string_view name, const S& section) {
  std::string text = config::section_label(name) + "\n";
  for (const auto& setting : config::settings_of<S>()) {
    const std::string value = config::value_text(setting, section);
    if (value != config::kNoValue) {
      text.append(setting.key).append(" = ").append(value).append("\n");
    }
  }
  return text;
}

std::string written(const config::StationConfig& station) {
  std::string text;
  config::for_each_section([&](std::string_view name, auto section) {
    text += written(name, station.*section);
  });
  for (const config::MountpointSection& mount : station.mountpoints) {
    text += written(config::kMountpoint, mount);
  }
  return text;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size > kMaxSize) {
    return 0;
  }
  const std::string text(data, data + size);
  const auto read = config::parse_station_config(text, "fuzz", check_source);
  if (!read) {
    const stillpoint::Error& error = read.error();
    STILLPOINT_CHECK(error.code == stillpoint::ErrorCode::kConfig);
    STILLPOINT_CHECK(error.where.starts_with("fuzz:"));
    STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
    return 0;
  }
  STILLPOINT_CHECK(*read == *read);
  STILLPOINT_CHECK(config::compare(*read, *read).empty());
  const auto again = config::reload_station_config(
      *read, written(*read), "written", check_source);
  STILLPOINT_CHECK(again.has_value());
  STILLPOINT_CHECK(again->changes.empty() && again->config == *read);
  return 0;
}
