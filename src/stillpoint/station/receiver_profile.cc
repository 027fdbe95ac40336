#include "stillpoint/station/receiver_profile.h"

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

}  // namespace stillpoint::station
