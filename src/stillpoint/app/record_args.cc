#include "stillpoint/app/record_args.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/datum/frame_at.h"
#include "stillpoint/datum/frames.h"
#include "stillpoint/datum/itrf_carry.h"
#include "stillpoint/datum/plate_motion.h"

namespace stillpoint::app {
namespace {

constexpr std::size_t kMostReasonBytes = 500;
constexpr std::size_t kMostNameBytes = 64;

tl::unexpected<Error> usage(std::string what, std::string remedy) {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

Status parse(CLI::App& app,
             const std::string& verb,
             const std::vector<std::string>& words) {
  const std::string see = "see stillpoint " + verb + " --help";
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::ExtrasError&) {
    return usage(verb + " does not take " + app.remaining().front(), see);
  } catch (const CLI::Error& e) {
    return usage(e.what(), see);
  }
  return ok();
}

Status needs_config(const std::string& config, const std::string& verb) {
  if (config.empty()) {
    return usage(verb + " needs the station's settings",
                 "give --config station.toml");
  }
  return ok();
}

// "1,2,3".
std::optional<std::array<double, 3>> three_numbers(std::string_view text) {
  std::array<double, 3> out{};
  for (std::size_t i = 0; i < out.size(); ++i) {
    const std::size_t comma = text.find(',');
    const auto value = parse_double(text.substr(0, comma));
    if (!value || (comma == std::string_view::npos) != (i + 1 == out.size())) {
      return std::nullopt;
    }
    out.at(i) = *value;
    text.remove_prefix(std::min(comma, text.size() - 1) + 1);
  }
  return out;
}

Status read_wanted(const std::string& text, WantedFrame& into) {
  if (text.empty()) {
    return ok();
  }
  auto frame = parse_frame_at(text);
  if (!frame) {
    frame.error().what = "--frame: " + frame.error().what;
    return fail(std::move(frame.error()));
  }
  if (!family_member(frame->first)) {
    return fail(
        ErrorCode::kFrameUnknown,
        "--frame: records cannot be brought into '" + frame->first + "'",
        "",
        "give ITRF2014, ITRF2020 or a frame that docs/frames.md ties "
        "to one of them, such as IGS20; national frames come with a "
        "later version");
  }
  into.frame = frame_of_label(frame->first).frame;
  into.epoch = frame->second;
  return ok();
}

Status check_plate(const std::string& name) {
  if (name.empty() || find_plate(PlateModel::kItrf2014, name)) {
    return ok();
  }
  auto plate = require_plate(PlateModel::kItrf2020, name);
  if (!plate) {
    plate.error().what = "--plate: " + plate.error().what;
    return fail(std::move(plate.error()));
  }
  return ok();
}

struct TypedWords {
  std::string position, sigma, frame, source;
};

Status read_place(const TypedWords& words, TypedCoordinate& into) {
  // From below the deepest mine to far above the highest mountain.
  constexpr double kLeastM = 6.34e6, kMostM = 6.40e6;
  constexpr double kMostSigmaM = 100;
  constexpr const char* kGive =
      "give X,Y,Z in metres from the Earth's centre, with commas and no "
      "blanks; not latitude, longitude and height";
  const auto place = three_numbers(words.position);
  if (!place) {
    return usage("--by-hand '" + words.position + "' is no coordinate", kGive);
  }
  into.position_m = {(*place)[0], (*place)[1], (*place)[2]};
  const double radius_m = norm(into.position_m);
  if (!(radius_m >= kLeastM && radius_m <= kMostM)) {
    return usage(fmt::format("--by-hand '{}' is {:.0f} km from the Earth's "
                             "centre, which is not on its surface",
                             words.position,
                             radius_m / 1000),
                 kGive);
  }
  const auto sigma = three_numbers(words.sigma);
  if (!sigma) {
    return usage(words.sigma.empty()
                     ? "--by-hand without --sigma"
                     : "--sigma '" + words.sigma + "' is no uncertainty",
                 "give --sigma E,N,U, one sigma east, north and up in metres, "
                 "as honestly as you know it");
  }
  into.sigma_enu_m = *sigma;
  for (const double one : into.sigma_enu_m) {
    if (!(one > 0 && one <= kMostSigmaM)) {
      return usage(
          fmt::format("--sigma '{}': a sigma of {} m", words.sigma, one),
          fmt::format("give metres above 0, up to {}", kMostSigmaM));
    }
  }
  return ok();
}

Result<TypedCoordinate> read_typed(const TypedWords& words) {
  TypedCoordinate out;
  if (auto place = read_place(words, out); !place) {
    return fail(std::move(place.error()));
  }
  auto frame = parse_frame_at(words.frame);
  if (words.frame.empty() || (frame && !frame->second)) {
    return usage("--by-hand without the frame and epoch of the coordinate",
                 "give --frame NAME@EPOCH, such as IGS20@2024-05-08 or "
                 "ITRF2014@2010.0");
  }
  if (!frame) {
    frame.error().what = "--frame: " + frame.error().what;
    return fail(std::move(frame.error()));
  }
  out.frame = frame_of_label(frame->first).frame;
  out.epoch = *frame->second;
  out.source = std::string(trim(words.source));
  if (out.source.empty()) {
    return usage("--by-hand without --source",
                 "say whose coordinate it is, such as --source \"survey "
                 "office, certificate of 2024-05-08\"");
  }
  return out;
}

}  // namespace

Result<CandidatesArgs> parse_candidates(const std::vector<std::string>& words) {
  CandidatesArgs args;
  TypedWords typed;
  CLI::App app;
  app.set_help_flag();
  app.add_option("--config", args.config)->take_last();
  app.add_option("--add", args.add);
  app.add_option("--by-hand", typed.position)->take_last();
  app.add_option("--sigma", typed.sigma)->take_last();
  app.add_option("--source", typed.source)->take_last();
  app.add_option("--frame", typed.frame)->take_last();
  app.add_option("--plate", args.wanted.plate)->take_last();
  app.add_flag("--help", args.help);
  if (auto parsed = parse(app, "candidates", words); !parsed) {
    return fail(std::move(parsed.error()));
  }
  if (args.help) {
    return args;
  }
  if (auto has = needs_config(args.config, "candidates"); !has) {
    return fail(std::move(has.error()));
  }
  if (app.count("--by-hand") == 0 &&
      app.count("--sigma") + app.count("--source") > 0) {
    return usage("--sigma and --source belong to a coordinate by hand",
                 "give it as --by-hand X,Y,Z; documents bring their own");
  }
  if (app.count("--by-hand") > 0) {
    auto read = read_typed(typed);
    if (!read) {
      return fail(std::move(read.error()));
    }
    args.typed = std::move(*read);
  } else if (auto read = read_wanted(typed.frame, args.wanted); !read) {
    return fail(std::move(read.error()));
  }
  if (auto plate = check_plate(args.wanted.plate); !plate) {
    return fail(std::move(plate.error()));
  }
  return args;
}

Result<AdoptArgs> parse_adopt(const std::vector<std::string>& words) {
  AdoptArgs args;
  std::vector<std::string> ids;
  CLI::App app;
  app.set_help_flag();
  app.add_option("ids", ids);
  app.add_option("--config", args.config)->take_last();
  app.add_option("--reason", args.reason)->take_last();
  app.add_option("--by", args.by)->take_last();
  app.add_flag("--help", args.help);
  if (auto parsed = parse(app, "adopt", words); !parsed) {
    return fail(std::move(parsed.error()));
  }
  if (args.help) {
    return args;
  }
  const auto id = ids.size() == 1 ? parse_int(ids.front()) : std::nullopt;
  if (!id || *id < 1) {
    return usage("adopt takes the number of one record",
                 "stillpoint candidates --config station.toml lists them");
  }
  args.record = *id;
  if (auto has = needs_config(args.config, "adopt"); !has) {
    return fail(std::move(has.error()));
  }
  args.reason = std::string(trim(args.reason));
  if (args.reason.empty() || args.reason.size() > kMostReasonBytes) {
    return usage(
        args.reason.empty() ? "adopt without a reason"
                            : "--reason has more than 500 bytes",
        "give --reason TEXT, one line: whoever asks in a year why rovers "
        "moved finds it in the logbook");
  }
  args.by = std::string(trim(args.by));
  if (args.by.empty() || args.by.size() > kMostNameBytes) {
    return usage("--by is no name", "give a name of 1 to 64 bytes");
  }
  return args;
}

Result<PositionArgs> parse_position(const std::vector<std::string>& words) {
  PositionArgs args;
  std::string frame;
  CLI::App app;
  app.set_help_flag();
  app.add_option("--config", args.config)->take_last();
  app.add_option("--frame", frame)->take_last();
  app.add_option("--plate", args.wanted.plate)->take_last();
  app.add_flag("--help", args.help);
  if (auto parsed = parse(app, "position", words); !parsed) {
    return fail(std::move(parsed.error()));
  }
  if (args.help) {
    return args;
  }
  for (Status& status : std::array{needs_config(args.config, "position"),
                                   read_wanted(frame, args.wanted),
                                   check_plate(args.wanted.plate)}) {
    if (!status) {
      return fail(std::move(status.error()));
    }
  }
  return args;
}

Result<ClaimArgs> parse_claim(const std::vector<std::string>& words) {
  ClaimArgs args;
  CLI::App app;
  app.set_help_flag();
  app.add_option("--config", args.config)->take_last();
  app.add_flag("--help", args.help);
  if (auto parsed = parse(app, "claim", words); !parsed) {
    return fail(std::move(parsed.error()));
  }
  if (!args.help) {
    if (auto has = needs_config(args.config, "claim"); !has) {
      return fail(std::move(has.error()));
    }
  }
  return args;
}

}  // namespace stillpoint::app
