#include "stillpoint/datum/frame_at.h"

#include "stillpoint/core/text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

tl::unexpected<Error> not_a_frame(std::string_view text, const char* why) {
  std::string what = "'";
  what.append(text).append("' is not a frame with its epoch: ").append(why);
  return fail(ErrorCode::kUsage,
              std::move(what),
              {},
              "write NAME@EPOCH, such as ITRF2014@2020.48 or "
              "IGb14@2020-06-25, or NAME alone");
}

}  // namespace

Result<std::pair<std::string, std::optional<GnssTime>>> parse_frame_at(
    std::string_view text) {
  const std::size_t at = text.find('@');
  std::string name(trim(text.substr(0, at)));
  if (name.empty()) {
    return not_a_frame(text, "it has no name");
  }
  if (at == std::string_view::npos) {
    return std::pair{std::move(name), std::optional<GnssTime>()};
  }
  const std::string_view epoch = trim(text.substr(at + 1));
  if (epoch.empty()) {
    return not_a_frame(text, "nothing stands behind the @");
  }
  if (epoch.find('@') != std::string_view::npos) {
    return not_a_frame(text, "it has more than one @");
  }
  auto time = parse_time(epoch);
  if (!time) {
    return fail(std::move(time.error()));
  }
  return std::pair{std::move(name), std::optional<GnssTime>(*time)};
}

}  // namespace stillpoint
