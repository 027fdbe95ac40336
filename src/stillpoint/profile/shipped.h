// The profiles of receivers/, built into the program.
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace stillpoint::profile {

struct ShippedProfile {
  std::string_view name;  // of the file, without ".toml": "spdemo-r1"
  std::string_view toml;
};

std::span<const ShippedProfile> shipped_profiles();
std::optional<ShippedProfile> find_shipped_profile(std::string_view name);

}  // namespace stillpoint::profile
