// What the tests of this module share.
#pragma once

#include <gtest/gtest.h>

#include <cstddef>
#include <string>
#include <string_view>

#include "stillpoint/config/station_config.h"

namespace stillpoint::config {

// Stands in for net::parse_source(): "serial:" and what follows is right.
inline Status accept_serial(std::string_view text) {
  if (text.starts_with("serial:")) {
    return ok();
  }
  return fail(ErrorCode::kUsage,
              "this kind of source does not exist",
              "source",
              "write serial:/dev/ttyACM0");
}

// The least that a file must say, on one line each, behind other lines that
// begin a file or before others that end it.
inline std::string with_needed(const std::string& more) {
  return "station.name = 'LHOL00XXX'\n"
         "mountpoint = [{name = 'LHOL'}]\n" +
         more;
}

inline StationConfig config_of(const std::string& text) {
  const auto config = parse_station_config(text, "s.toml", accept_serial);
  EXPECT_TRUE(config) << text << "\n" << config.error().text();
  return config.value_or(StationConfig{});
}

inline Error error_of(const std::string& text) {
  const auto config = parse_station_config(text, "s.toml", accept_serial);
  EXPECT_FALSE(config) << text;
  if (config) {
    return {};
  }
  EXPECT_EQ(config.error().code, ErrorCode::kConfig);
  EXPECT_FALSE(config.error().remedy.empty());
  return config.error();
}

}  // namespace stillpoint::config
