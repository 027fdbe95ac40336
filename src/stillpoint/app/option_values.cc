#include "stillpoint/app/option_values.h"

#include <fmt/format.h>

#include <array>

#include "stillpoint/core/text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr std::array kVersions = {
    rinex::Version::k211, rinex::Version::k305, rinex::Version::k402};

}  // namespace

Status read_time(const char* option,
                 const std::string& text,
                 std::optional<GnssTime>& into) {
  if (text.empty()) {
    return ok();
  }
  auto time = parse_time(text);
  if (!time) {
    time.error().what = fmt::format("{}: {}", option, time.error().what);
    return fail(std::move(time.error()));
  }
  into = *time;
  return ok();
}

Status read_number(const char* option,
                   const std::string& text,
                   double least,
                   double most,
                   const std::string& allowed,
                   double& into) {
  if (text.empty()) {
    return ok();
  }
  const auto number = parse_double(text);
  if (!number || !(*number >= least && *number <= most)) {
    return fail(ErrorCode::kUsage,
                fmt::format("{} '{}' is not in range", option, text),
                "",
                fmt::format("give {}", allowed));
  }
  into = *number;
  return ok();
}

const char* version_text(rinex::Version version) {
  switch (version) {
    case rinex::Version::k211:
      return "2.11";
    case rinex::Version::k305:
      return "3.05";
    case rinex::Version::k402:
      break;
  }
  return "4.02";
}

Status read_version(const std::string& text, rinex::Version& into) {
  if (text.empty()) {
    return ok();
  }
  for (const rinex::Version known : kVersions) {
    if (text == version_text(known)) {
      into = known;
      return ok();
    }
  }
  return fail(ErrorCode::kUsage,
              fmt::format("--format '{}' is not written here", text),
              "",
              "give 2.11, 3.05 or 4.02");
}

}  // namespace stillpoint::app
