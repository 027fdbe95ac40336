#include "stillpoint/app/destination.h"

#include <fmt/format.h>

#include "stillpoint/core/text.h"

namespace stillpoint::app {

Result<Destination> parse_destination(const std::string& to,
                                      std::string_view verb) {
  constexpr std::string_view kTcp = "tcp:";
  constexpr const char* kRemedy =
      "give --to tcp:PORT (0 picks a free one) or --to pty";
  if (to == "pty") {
    return Destination{.pty = true};
  }
  if (to.empty()) {
    return fail(ErrorCode::kUsage,
                fmt::format("{} needs a destination", verb),
                "",
                kRemedy);
  }
  const auto port =
      to.starts_with(kTcp) ? parse_int(to.substr(kTcp.size())) : std::nullopt;
  if (!port || *port < 0 || *port > 65'535) {
    return fail(ErrorCode::kUsage,
                fmt::format("--to '{}' is no destination", to),
                "",
                kRemedy);
  }
  return Destination{.port = static_cast<std::uint16_t>(*port)};
}

}  // namespace stillpoint::app
