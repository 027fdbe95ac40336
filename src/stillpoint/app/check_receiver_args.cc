#include "stillpoint/app/check_receiver_args.h"

#include <CLI/CLI.hpp>
#include <array>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/profile/shipped.h"
#include "stillpoint/station/receiver_profile.h"

namespace stillpoint::app {
namespace {

tl::unexpected<Error> usage(
    std::string what,
    std::string remedy = "see stillpoint check-receiver --help") {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

std::string shipped_names() {
  std::string names;
  for (const profile::ShippedProfile& shipped : profile::shipped_profiles()) {
    names += (names.empty() ? "" : ", ") + std::string(shipped.name);
  }
  return names;
}

// "X,Y,Z" in metres.
std::optional<Ecef> position_of(std::string_view text) {
  // From below the deepest mine to above any mast, with room for the ellipsoid.
  constexpr double kLowestM = 6'340'000;
  constexpr double kHighestM = 6'400'000;
  std::array<double, 3> xyz{};
  for (std::size_t i = 0; i < xyz.size(); ++i) {
    const std::size_t comma = text.find(',');
    if ((comma == std::string_view::npos) != (i + 1 == xyz.size())) {
      return std::nullopt;
    }
    const auto number = parse_double(text.substr(0, comma));
    if (!number) {
      return std::nullopt;
    }
    xyz[i] = *number;
    text.remove_prefix(comma == std::string_view::npos ? text.size()
                                                       : comma + 1);
  }
  const Ecef position{xyz[0], xyz[1], xyz[2]};
  const double radius_m = norm(position);
  return radius_m > kLowestM && radius_m < kHighestM ? std::optional(position)
                                                     : std::nullopt;
}

Status read_port(const std::string& port, CheckReceiverArgs& args) {
  if (port.empty()) {
    return args.send ? Status(usage("--send needs to know where",
                                    "give --port, such as --port "
                                    "serial:/dev/ttyACM0?baud=115200"))
                     : ok();
  }
  auto address = net::parse_source(port);
  if (!address) {
    return fail(std::move(address.error()));
  }
  if (address->kind != net::SourceKind::kSerial &&
      address->kind != net::SourceKind::kTcp) {
    return usage("--port '" + address->text + "' is no receiver's",
                 "give serial:DEVICE or tcp://HOST:PORT");
  }
  args.port = std::move(*address);
  return ok();
}

Status read_position(const std::string& text, CheckReceiverArgs& args) {
  if (text.empty()) {
    return ok();
  }
  const auto position = position_of(text);
  if (!position) {
    return usage("--position '" + text + "' is no place on the Earth",
                 "give X,Y,Z in metres from the Earth's centre, such as "
                 "--position 4279402.4,671220.0,4666639.5");
  }
  args.values = station::values_of(*position);
  return ok();
}

// A value that does not fit is said before anything is sent.
Status try_to_render(const CheckReceiverArgs& args) {
  for (const profile::Step& step : args.profile.steps) {
    if (profile::missing_values(step, args.values).empty()) {
      if (auto bytes = profile::render(step, args.values); !bytes) {
        return fail(std::move(bytes.error()));
      }
    }
  }
  return ok();
}

}  // namespace

Result<CheckReceiverArgs> parse_check_receiver(
    const std::vector<std::string>& words) {
  std::vector<std::string> profiles;
  std::string port, position;
  CheckReceiverArgs args;
  CLI::App app;
  app.set_help_flag();
  app.add_option("PROFILE", profiles)->expected(1, -1);
  app.add_option("--port", port)->take_last();
  app.add_option("--position", position)->take_last();
  app.add_flag("--send", args.send);
  app.add_flag("--help", args.help);
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::ExtrasError&) {
    // The name alone, as of every verb that takes a source.
    const std::string word = app.remaining().front();
    return usage("check-receiver has no option " +
                 word.substr(0, word.find('=')));
  } catch (const CLI::Error& e) {
    return usage(e.what());
  }
  if (args.help) {
    return args;
  }
  if (profiles.size() != 1) {
    return usage(profiles.empty() ? "check-receiver needs a profile"
                                  : "check-receiver takes one profile",
                 "give a file, or one of " + shipped_names());
  }
  args.name = profiles.front();
  args.is_shipped = profile::find_shipped_profile(args.name).has_value();
  for (const Status& status :
       {read_port(port, args), read_position(position, args)}) {
    if (!status) {
      return fail(status.error());
    }
  }
  auto profile = station::load_profile(args.name);
  if (!profile) {
    return fail(std::move(profile.error()));
  }
  args.profile = std::move(*profile);
  if (auto rendered = try_to_render(args); !rendered) {
    return fail(std::move(rendered.error()));
  }
  return args;
}

}  // namespace stillpoint::app
