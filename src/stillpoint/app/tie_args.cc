#include "stillpoint/app/tie_args.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string_view>
#include <utility>

#include "stillpoint/app/tie_words.h"
#include "stillpoint/core/text.h"
#include "stillpoint/datum/frame_at.h"

namespace stillpoint::app {
namespace {

tl::unexpected<Error> usage(std::string what,
                            std::string remedy = "see stillpoint tie --help") {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

// "1,2,3": nothing where a part is no number.
std::optional<std::vector<double>> numbers(std::string_view text) {
  std::vector<double> out;
  for (;;) {
    const std::size_t comma = text.find(',');
    const auto value = parse_double(text.substr(0, comma));
    if (!value) {
      return std::nullopt;
    }
    out.push_back(*value);
    if (comma == std::string_view::npos) {
      return out;
    }
    text.remove_prefix(comma + 1);
  }
}

Status read_known(const std::string& text, solve::KnownCoordinate& into) {
  // From below the deepest mine to far above the highest mountain.
  constexpr double kLeastM = 6.34e6, kMostM = 6.40e6;
  constexpr double kMostSigmaM = 100;
  const auto v = numbers(text);
  if (!v || (v->size() != 3 && v->size() != 6)) {
    return usage(fmt::format("--known '{}' is no coordinate", text),
                 "give X,Y,Z in metres from the Earth's centre, and behind "
                 "them sX,sY,sZ where their sigmas are known");
  }
  into.position_m = {(*v)[0], (*v)[1], (*v)[2]};
  const double radius_m = norm(into.position_m);
  if (radius_m < kLeastM || radius_m > kMostM) {
    return usage(
        fmt::format("--known '{}' is {:.0f} km from the Earth's centre, which "
                    "is not on its surface",
                    text,
                    radius_m / 1000),
        "give X,Y,Z in metres from the Earth's centre, not latitude, longitude "
        "and height");
  }
  if (v->size() == 3) {
    return ok();
  }
  into.sigma_m = {(*v)[3], (*v)[4], (*v)[5]};
  for (const double sigma : *into.sigma_m) {
    if (!(sigma >= 0 && sigma <= kMostSigmaM)) {
      return usage(
          fmt::format("--known '{}': a sigma of {} m", text, sigma),
          fmt::format("give metres from 0 to {}, or leave the sigmas out",
                      kMostSigmaM));
    }
  }
  return ok();
}

Status read_frame(const std::string& text, solve::KnownCoordinate& into) {
  auto frame = parse_frame_at(text);
  if (!frame) {
    frame.error().what = "--frame: " + frame.error().what;
    return fail(std::move(frame.error()));
  }
  into.frame = std::move(frame->first);
  into.epoch = frame->second;
  return ok();
}

Status read_motion(const MotionWords& words, solve::KnownMotion& into) {
  constexpr double kMostMPerYear = 1;
  if (words.option == "--no-motion") {
    into.kind = solve::KnownMotion::Kind::kNone;
    return ok();
  }
  if (words.option == "--plate") {
    into.kind = solve::KnownMotion::Kind::kPlate;
    into.plate = words.value;
    return ok();
  }
  const auto v = numbers(words.value);
  if (!v || v->size() != 3 ||
      std::hypot((*v)[0], (*v)[1], (*v)[2]) > kMostMPerYear) {
    return usage(fmt::format("--velocity '{}' is no velocity", words.value),
                 "give VX,VY,VZ in metres per year along the Earth-fixed axes, "
                 "such as -0.0158,0.0172,0.0104");
  }
  into.kind = solve::KnownMotion::Kind::kVelocity;
  into.velocity = {(*v)[0], (*v)[1], (*v)[2]};
  return ok();
}

// A value for all, or one each.
Status check_count(std::size_t given,
                   std::size_t known,
                   const std::string& what) {
  if (given <= 1 || given == known) {
    return ok();
  }
  return usage(
      fmt::format("{} {} for {} known coordinates", given, what, known),
      "give one for all of them, or one for each, in their order");
}

Status check_counts(const TieWords& words) {
  if (words.to.empty()) {
    return usage("no station to tie to",
                 "give its observation files with --to and its coordinate with "
                 "--known");
  }
  if (words.known.empty()) {
    return usage(
        "no --known: the coordinate of the station behind --to is needed",
        "give it as --known X,Y,Z with --frame NAME@EPOCH, as its owner or "
        "agency publishes it; the position in its file's header is never "
        "taken: it is often rough, or of another frame or year");
  }
  if (words.known.size() != words.to.size()) {
    return usage(
        fmt::format("{} of --to and {} of --known",
                    words.to.size(),
                    words.known.size()),
        "give one --known for each --to, in their order; several files of one "
        "station stand behind one --to. The position in a file's header is "
        "never taken");
  }
  if (auto frames =
          check_count(words.frames.size(), words.known.size(), "of --frame");
      !frames) {
    return frames;
  }
  return check_count(words.motions.size(),
                     words.known.size(),
                     "of --velocity, --plate and --no-motion");
}

Result<TieTarget> read_target(const TieWords& words, std::size_t n) {
  TieTarget out;
  out.files = words.to[n];
  out.typed = words.known[n];
  if (auto known = read_known(words.known[n], out.known); !known) {
    return fail(std::move(known.error()));
  }
  if (!words.frames.empty()) {
    const std::size_t at = words.frames.size() == 1 ? 0 : n;
    if (auto frame = read_frame(words.frames[at], out.known); !frame) {
      return fail(std::move(frame.error()));
    }
  }
  out.motion.kind = solve::KnownMotion::Kind::kNotSaid;
  if (!words.motions.empty()) {
    const std::size_t at = words.motions.size() == 1 ? 0 : n;
    if (auto motion = read_motion(words.motions[at], out.motion); !motion) {
      return fail(std::move(motion.error()));
    }
  }
  return out;
}

Result<bool> read_integers(const TieWords& words) {
  if (words.ambiguities.empty() || words.ambiguities.back() == "auto") {
    return true;
  }
  if (words.ambiguities.back() == "float") {
    return false;
  }
  return usage(
      "--ambiguities '" + words.ambiguities.back() + "' is not a choice",
      "give --ambiguities auto or --ambiguities float");
}

// The words that both verbs have are checked where those of `locate` are.
Result<LocateArgs> read_shared(const TieWords& words) {
  auto args = parse_locate(words.shared);
  if (args) {
    return args;
  }
  Error error = std::move(args.error());
  constexpr std::string_view kOther = "stillpoint locate";
  for (std::size_t at = error.remedy.find(kOther); at != std::string::npos;
       at = error.remedy.find(kOther)) {
    error.remedy.replace(at, kOther.size(), "stillpoint tie");
  }
  return fail(std::move(error));
}

}  // namespace

Result<TieArgs> parse_tie(const std::vector<std::string>& words) {
  TieArgs out;
  for (const std::string& word : words) {
    if (word == "--help") {
      out.common.help = true;
      return out;
    }
  }
  const auto split = split_tie_words(words);
  if (!split) {
    return fail(split.error());
  }
  auto shared = read_shared(*split);
  if (!shared) {
    return fail(std::move(shared.error()));
  }
  out.common = std::move(*shared);
  if (auto counts = check_counts(*split); !counts) {
    return fail(std::move(counts.error()));
  }
  auto integers = read_integers(*split);
  if (!integers) {
    return fail(std::move(integers.error()));
  }
  out.integers = *integers;
  for (std::size_t n = 0; n < split->to.size(); ++n) {
    auto target = read_target(*split, n);
    if (!target) {
      return fail(std::move(target.error()));
    }
    out.to.push_back(std::move(*target));
  }
  return out;
}

}  // namespace stillpoint::app
