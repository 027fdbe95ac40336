#include "stillpoint/station/settings_file.h"

#include "stillpoint/net/source_address.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::station {
namespace {

// More than parse_station_config() takes, so that it says so with its place.
constexpr std::size_t kMostBytes = std::size_t{1} << 20U;

Status check_source(std::string_view text) {
  auto source = net::parse_source(text);
  return source ? ok() : Status(fail(std::move(source.error())));
}

}  // namespace

Result<config::StationConfig> read_settings(const std::string& path) {
  const auto text = read_small_file(path, kMostBytes);
  if (!text) {
    return fail(text.error());
  }
  return config::parse_station_config(*text, path, check_source);
}

Result<config::Reload> reread_settings(const config::StationConfig& running,
                                       const std::string& path) {
  const auto text = read_small_file(path, kMostBytes);
  if (!text) {
    return fail(text.error());
  }
  return config::reload_station_config(running, *text, path, check_source);
}

}  // namespace stillpoint::station
