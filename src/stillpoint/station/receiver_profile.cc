#include "stillpoint/station/receiver_profile.h"

#include <numbers>
#include <utility>

#include "stillpoint/profile/shipped.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::station {
namespace {

// parse_profile() refuses less, with the place; this keeps a disk image out.
constexpr std::size_t kMostBytes = std::size_t{1} << 20U;

std::string shipped_names() {
  std::string names;
  for (const profile::ShippedProfile& shipped : profile::shipped_profiles()) {
    names += (names.empty() ? "" : ", ") + std::string(shipped.name);
  }
  return names;
}

}  // namespace

Result<profile::Profile> load_profile(const std::string& name) {
  if (name.empty()) {
    return profile::Profile{};
  }
  if (const auto shipped = profile::find_shipped_profile(name)) {
    return profile::parse_profile(shipped->toml, name);
  }
  auto text = read_small_file(name, kMostBytes);
  if (!text) {
    Error error = std::move(text.error());
    if (error.code == ErrorCode::kTooLarge) {
      error.code = ErrorCode::kConfig;
      error.what = "this is no receiver profile: " + error.what;
    }
    error.remedy =
        "give the path of a profile, or the name of one that is built in: " +
        shipped_names();
    return fail(std::move(error));
  }
  return profile::parse_profile(*text, name);
}

profile::StationValues values_of(const Ecef& position) {
  constexpr double kDegPerRad = 180 / std::numbers::pi;
  const Geodetic geodetic = to_geodetic(position);
  return {.x_m = position.x_m,
          .y_m = position.y_m,
          .z_m = position.z_m,
          .lat_deg = geodetic.lat_rad * kDegPerRad,
          .lon_deg = geodetic.lon_rad * kDegPerRad,
          .ellipsoidal_height_m = geodetic.height_m};
}

}  // namespace stillpoint::station
