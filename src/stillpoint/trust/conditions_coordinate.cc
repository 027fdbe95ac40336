// What can be wrong with the adopted coordinate.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "stillpoint/trust/conditions.h"

namespace stillpoint::trust {
namespace {

// All limits are our own judgement; docs/trust.md says why.
constexpr double kSigmaH = 0.05, kSigmaV = 0.10;    // [m]
constexpr double kCodeFar = 5, kCodeFarSigmas = 5;  // [m], sigmas
constexpr double kCodeApart = 3, kCodeApartSigmas = 4;

double yes(bool condition) {
  return condition ? 1 : 0;
}

// The larger of both in their limits.
double uncertainty(const Inputs::Adopted& a) {
  const double ratio = std::max(a.sigma_h_m / kSigmaH, a.sigma_v_m / kSigmaV);
  const bool known = std::isfinite(a.sigma_h_m) && std::isfinite(a.sigma_v_m) &&
                     a.sigma_h_m >= 0 && a.sigma_v_m >= 0;
  return known ? ratio : std::numeric_limits<double>::infinity();
}

// Distance of the code mean in the larger of a length and so many sigmas.
std::optional<double> code_ratio(const Inputs& in, double floor_m, double n) {
  if (!in.adopted || !in.adopted->code_apart_m || !in.adopted->code_sigma_m ||
      !std::isfinite(*in.adopted->code_sigma_m)) {
    return std::nullopt;
  }
  return *in.adopted->code_apart_m /
         std::max(floor_m, n * *in.adopted->code_sigma_m);
}

std::string code_text(const Inputs& in) {
  return fmt::format(
      "The mean of the code ranges lies {} from the adopted coordinate (one "
      "sigma of the mean: {}).",
      length_text(*in.adopted->code_apart_m),
      length_text(*in.adopted->code_sigma_m));
}

std::optional<double> plate_motion(const Inputs& in) {
  return in.adopted ? in.adopted->plate_motion_m : std::nullopt;
}

std::string plate_text(const Inputs& in) {
  return fmt::format(
      "The plate has carried the antenna {} since the epoch of the adopted "
      "coordinate.",
      length_text(*in.adopted->plate_motion_m));
}

constexpr const char* kAdoptAnew =
    "Find out which of the two is right, then adopt a record that agrees with "
    "what is measured; if the antenna was moved, work out its coordinate anew.";
constexpr const char* kCarryOn =
    "Work out the coordinate at a present epoch, or carry it there, and adopt "
    "that record.";

constexpr std::array kRows = {
    Condition{.part = Part::kCoordinate,
              .code = "no_adopted_position",
              .state = State::kBuilding,
              .enter = 0.5,
              .leave = 0.5,
              .at_first = true,
              .value = [](const Inputs& in) -> std::optional<double> {
                return yes(!in.adopted);
              },
              .what =
                  [](const Inputs&) {
                    return std::string("No coordinate is adopted yet.");
                  },
              .brief = "no coordinate is adopted yet",
              .remedy =
                  "Record until there is enough, work out the coordinate, then "
                  "adopt it."},
    Condition{.part = Part::kCoordinate,
              .code = "code_far_off",
              .state = State::kWithheld,
              .enter = 1,
              .leave = 0.8,
              .enter_after_s = 600,
              .leave_after_s = 1200,
              .of_record = true,
              .value =
                  [](const Inputs& in) {
                    return code_ratio(in, kCodeFar, kCodeFarSigmas);
                  },
              .what = code_text,
              .brief = "code ranges contradict the coordinate",
              .remedy = kAdoptAnew},
    Condition{.part = Part::kCoordinate,
              .code = "code_apart",
              .state = State::kDoubtful,
              .enter = 1,
              .leave = 0.8,
              .enter_after_s = 600,
              .leave_after_s = 1200,
              .of_record = true,
              .graver = "code_far_off",
              .value =
                  [](const Inputs& in) {
                    return code_ratio(in, kCodeApart, kCodeApartSigmas);
                  },
              .what = code_text,
              .brief = "code ranges disagree with the coordinate",
              .remedy = kAdoptAnew},
    Condition{
        .part = Part::kCoordinate,
        .code = "candidate_disagrees",
        .enter = 0.5,
        .leave = 0.5,
        .at_first = true,
        .of_record = true,
        .value = [](const Inputs& in) -> std::optional<double> {
          if (!in.adopted) {
            return std::nullopt;
          }
          return yes(in.adopted->candidate_apart_m.has_value());
        },
        .what =
            [](const Inputs& in) {
              return fmt::format(
                  "Another position record, as good or better, lies {} from "
                  "the adopted coordinate, more than their uncertainties "
                  "allow.",
                  length_text(*in.adopted->candidate_apart_m));
            },
        .brief = "another solution disagrees with the coordinate",
        .remedy = "Compare the records and adopt the one that is right."},
    Condition{
        .part = Part::kCoordinate,
        .code = "position_uncertain",
        .enter = 1,
        .leave = 1,
        .at_first = true,
        .of_record = true,
        .value = [](const Inputs& in) -> std::optional<double> {
          if (!in.adopted) {
            return std::nullopt;
          }
          return uncertainty(*in.adopted);
        },
        .what =
            [](const Inputs& in) {
              if (std::isinf(uncertainty(*in.adopted))) {
                return std::string(
                    "How good the adopted coordinate is, is not known.");
              }
              return fmt::format(
                  "The adopted coordinate is good to {} horizontally and {} in "
                  "height only (one sigma).",
                  length_text(in.adopted->sigma_h_m),
                  length_text(in.adopted->sigma_v_m));
            },
        .brief = "the coordinate is not accurate",
        .remedy = "Record longer, work the coordinate out from carrier phases, "
                  "then adopt that record."},
    Condition{
        .part = Part::kCoordinate,
        .code = "receiver_sends_another",
        .enter = 0.10,
        .leave = 0.05,
        .enter_after_s = 10,
        .leave_after_s = 60,
        .at_first = true,
        .of_record = true,
        .value = [](const Inputs& in) -> std::optional<double> {
          if (!in.adopted) {
            return std::nullopt;
          }
          return in.adopted->receiver_apart_m.value_or(0);
        },
        .what =
            [](const Inputs& in) {
              return fmt::format(
                  "The receiver itself sends a coordinate {} from the adopted "
                  "one; rovers get the adopted one.",
                  length_text(in.adopted->receiver_apart_m.value_or(0)));
            },
        .brief = "the receiver holds another coordinate",
        .remedy =
            "Give the receiver the adopted coordinate, or see whether it "
            "means another point (marker, reference point, phase centre)."},
    Condition{.part = Part::kCoordinate,
              .code = "plate_motion_large",
              .enter = 0.050,
              .leave = 0.045,
              .at_first = true,
              .of_record = true,
              .value = plate_motion,
              .what = plate_text,
              .brief = "the coordinate's epoch is long past",
              .remedy = kCarryOn},
    Condition{.part = Part::kCoordinate,
              .code = "plate_motion",
              .state = State::kTrusted,
              .enter = 0.010,
              .leave = 0.009,
              .at_first = true,
              .of_record = true,
              .graver = "plate_motion_large",
              .value = plate_motion,
              .what = plate_text,
              .brief = "the coordinate's epoch is past",
              .remedy = kCarryOn},
};

}  // namespace

std::span<const Condition> coordinate_conditions() {
  return kRows;
}

}  // namespace stillpoint::trust
