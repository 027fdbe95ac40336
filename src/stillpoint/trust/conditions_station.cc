// What can be wrong with the source, the sky, the disk and the clock.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/trust/conditions.h"

namespace stillpoint::trust {
namespace {

// All limits are our own judgement; docs/trust.md says why.
double yes(bool condition) {
  return condition ? 1 : 0;
}

bool data_comes(const Inputs& in) {
  return in.source_open && in.last_epoch_age_s &&
         *in.last_epoch_age_s <= in.silence_s;
}

double silent_for_s(const Inputs& in) {
  const double age_s = *in.last_epoch_age_s;
  return in.source_open_s ? std::min(age_s, *in.source_open_s) : age_s;
}

std::optional<double> clock_size(const Inputs& in) {
  if (!data_comes(in) || !in.clock_offset_s) {
    return std::nullopt;
  }
  return std::abs(*in.clock_offset_s);
}

std::string clock_text(const Inputs& in) {
  return fmt::format(
      "The computer's clock is {:.2f} s {} that of the receiver.",
      std::abs(*in.clock_offset_s),
      *in.clock_offset_s > 0 ? "ahead of" : "behind");
}

constexpr const char* kSetClock =
    "Let the computer take its time from a time server or from the receiver.";

constexpr std::array kRows = {
    Condition{.part = Part::kSource,
              .code = "source_closed",
              .enter = 0.5,
              .leave = 0.5,
              .enter_after_s = 10,
              .leave_after_s = 10,
              .at_first = true,
              .value = [](const Inputs& in) -> std::optional<double> {
                return yes(!in.source_open);
              },
              .what =
                  [](const Inputs&) {
                    return std::string("The receiver cannot be reached.");
                  },
              .brief = "the receiver cannot be reached",
              .remedy =
                  "Look after its power and its cable, and compare the source "
                  "in station.toml with where it is."},
    Condition{.part = Part::kSource,
              .code = "no_epochs_yet",
              .enter = 0.5,
              .leave = 0.5,
              .at_first = true,
              .graver = "source_closed",
              .value = [](const Inputs& in) -> std::optional<double> {
                if (!in.source_open) {
                  return std::nullopt;
                }
                return yes(!in.last_epoch_age_s);
              },
              .what =
                  [](const Inputs&) {
                    return std::string(
                        "No observations have come from the receiver since the "
                        "start.");
                  },
              .brief = "no observations have come yet",
              .remedy =
                  "If none come within a minute, see what the receiver sends: "
                  "stillpoint listen with its source."},
    Condition{.part = Part::kSource,
              .code = "source_silent",
              .enter = 1,
              .leave = 1,
              .leave_after_s = 10,
              .times_silence = true,
              .at_first = true,
              .graver = "source_closed",
              .value = [](const Inputs& in) -> std::optional<double> {
                if (!in.source_open || !in.last_epoch_age_s) {
                  return std::nullopt;
                }
                return silent_for_s(in) / std::max(in.silence_s, 1.0);
              },
              .what =
                  [](const Inputs& in) {
                    return fmt::format(
                        "No observations have come for {:.0f} s.",
                        *in.last_epoch_age_s);
                  },
              .brief = "no fresh observations from the receiver",
              .remedy = "Look after the receiver's power, cable and settings."},
    Condition{.part = Part::kSource,
              .code = "epochs_missing",
              .enter = 0.05,
              .leave = 0.01,
              .enter_after_s = 60,
              .leave_after_s = 120,
              .value = [](const Inputs& in) { return in.epochs_missed_share; },
              .what =
                  [](const Inputs& in) {
                    return fmt::format(
                        "{:.1f} % of the epochs of the last 10 minutes "
                        "did not come.",
                        100 * *in.epochs_missed_share);
                  },
              .brief = "epochs are missing",
              .remedy =
                  "Compare the line's speed with what the receiver sends, or "
                  "let it send less."},
    Condition{
        .part = Part::kSky,
        .code = "cn0_fell",
        .enter = 6,
        .leave = 3,
        .enter_after_s = 30,
        .leave_after_s = 120,
        .value = [](const Inputs& in) -> std::optional<double> {
          if (!data_comes(in) || !in.cn0_mean_dbhz || !in.cn0_usual_dbhz) {
            return std::nullopt;
          }
          return *in.cn0_usual_dbhz - *in.cn0_mean_dbhz;
        },
        .what =
            [](const Inputs& in) {
              return fmt::format(
                  "C/N0 is {:.1f} dB below its usual mean: interference, or "
                  "the "
                  "antenna or its cable.",
                  *in.cn0_usual_dbhz - *in.cn0_mean_dbhz);
            },
        .brief = "signals are weak, interference is suspected",
        .remedy =
            "See whether all signals fell at once; look for a transmitter "
            "nearby, water or snow at the antenna, a damaged cable."},
    Condition{
        .part = Part::kSky,
        .code = "few_satellites",
        .bad = Bad::kBelow,
        .enter = 8,
        .leave = 9,
        .enter_after_s = 60,
        .leave_after_s = 120,
        .value = [](const Inputs& in) -> std::optional<double> {
          if (!data_comes(in) || !in.satellites) {
            return std::nullopt;
          }
          return *in.satellites;
        },
        .what =
            [](const Inputs& in) {
              return fmt::format(
                  "{} satellite{} tracked, fewer than rovers "
                  "need with some reserve.",
                  *in.satellites,
                  *in.satellites == 1 ? " is" : "s are");
            },
        .brief = "few satellites are tracked",
        .remedy =
            "See what stands in the antenna's view, and which systems the "
            "receiver has switched on."},
    Condition{
        .part = Part::kDisk,
        .code = "cannot_write",
        .enter = 0.5,
        .leave = 0.5,
        .enter_after_s = 10,
        .leave_after_s = 60,
        .value = [](const Inputs& in) -> std::optional<double> {
          return yes(!in.disk_writes);
        },
        .what =
            [](const Inputs&) {
              return std::string(
                  "Nothing can be written to the disk: what is received is not "
                  "recorded.");
            },
        .brief = "the station cannot record",
        .remedy = "Make room on the disk, or replace a worn card."},
    Condition{
        .part = Part::kDisk,
        .code = "nearly_full",
        .state = State::kTrusted,
        .bad = Bad::kBelow,
        .enter = 0.9,
        .leave = 1.0,
        .enter_after_s = 600,
        .leave_after_s = 600,
        .value = [](const Inputs& in) { return in.free_share_of_limit; },
        .what =
            [](const Inputs& in) {
              return fmt::format(
                  "The disk has {:.0f} % of the room that is to be left free.",
                  100 * *in.free_share_of_limit);
            },
        .brief = "the disk is nearly full",
        .remedy = "Make room, or let recordings be kept for fewer days."},
    Condition{.part = Part::kClock,
              .code = "clock_off",
              .enter = 1,
              .leave = 0.5,
              .enter_after_s = 60,
              .leave_after_s = 120,
              .value = clock_size,
              .what = clock_text,
              .brief = "the station's clock is off",
              .remedy = kSetClock},
    Condition{.part = Part::kClock,
              .code = "clock_drifts",
              .state = State::kTrusted,
              .enter = 0.5,
              .leave = 0.3,
              .enter_after_s = 60,
              .leave_after_s = 120,
              .graver = "clock_off",
              .value = clock_size,
              .what = clock_text,
              .brief = "the station's clock drifts",
              .remedy = kSetClock},
};

}  // namespace

std::span<const Condition> station_conditions() {
  return kRows;
}

}  // namespace stillpoint::trust
