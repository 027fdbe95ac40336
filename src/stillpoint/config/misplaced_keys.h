// Keys that stand in a section which has none of their name, and about which
// more can be said than that: they belong to another section, or they are for
// a secret, which has no place in station.toml.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/profile/profile_text.h"
#include "stillpoint/profile/toml.h"

namespace stillpoint::config {

// "[archive]", "[[mountpoint]]"; of an empty name "station.toml".
std::string section_label(std::string_view section);

// Says what such keys are about and takes them out of the table.
//
//   section   name of the table's section; empty: the whole file
void take_misplaced_keys(toml::table& table,
                         std::string_view section,
                         profile::Mistakes& mistakes);

}  // namespace stillpoint::config
