#include "stillpoint/app/tie_checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <set>
#include <string>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/core/text.h"
#include "stillpoint/datum/frames.h"

namespace stillpoint::app {
namespace {

constexpr const char* kTwoStations =
    "give the observations of the station that is sought first, and those of "
    "each known station behind a --to of its own";

// The frame that a typed one stands for; the text itself where nobody knows.
std::string aligned(const std::string& typed) {
  const FrameLabel label = frame_of_label(typed);
  return label.known ? label.aligned_to : label.frame.name;
}

Result<std::set<std::string>> digests_of(
    const std::vector<std::string>& files,
    const std::vector<report::InputFile>& inputs) {
  std::set<std::string> out;
  for (const std::string& text : files) {
    const auto input = parse_input(text);
    if (!input) {
      return fail(input.error());
    }
    for (const report::InputFile& file : inputs) {
      if (file.path == input->path) {
        out.insert(file.sha256);
      }
    }
  }
  return out;
}

}  // namespace

Status check_files_differ(const TieArgs& args,
                          const std::vector<report::InputFile>& inputs) {
  std::vector<const std::vector<std::string>*> stations{
      &args.common.observations};
  for (const TieTarget& target : args.to) {
    stations.push_back(&target.files);
  }
  std::set<std::string> seen;
  for (const auto* files : stations) {
    auto digests = digests_of(*files, inputs);
    if (!digests) {
      return fail(std::move(digests.error()));
    }
    for (const std::string& digest : *digests) {
      if (!seen.insert(digest).second) {
        return fail(ErrorCode::kMixedInput,
                    "this file is given for two stations: a tie needs "
                    "observations of two receivers",
                    files->front(),
                    kTwoStations);
      }
    }
  }
  return ok();
}

Status check_stations_differ(const rinex::ObservationHeader& a,
                             const rinex::ObservationHeader& b,
                             const std::string& path) {
  constexpr double kSamePlaceM = 0.1;
  const bool same_place =
      a.approx_position_m.has_value() == b.approx_position_m.has_value() &&
      (!a.approx_position_m ||
       norm(*a.approx_position_m - *b.approx_position_m) < kSamePlaceM);
  if (trim(a.marker_name).empty() || a.marker_name != b.marker_name ||
      a.receiver_serial != b.receiver_serial ||
      a.receiver_type != b.receiver_type || !same_place) {
    return ok();
  }
  return fail(ErrorCode::kMixedInput,
              fmt::format("both ends of the tie are the receiver of marker "
                          "'{}'",
                          a.marker_name),
              path,
              kTwoStations);
}

Status check_one_frame(const TieArgs& args) {
  const std::string& first = args.to.front().known.frame;
  for (const TieTarget& target : args.to) {
    if (aligned(target.known.frame) != aligned(first)) {
      return fail(ErrorCode::kMixedInput,
                  fmt::format("known coordinates in two frames: '{}' and '{}'",
                              first,
                              target.known.frame),
                  "--frame",
                  "give all known coordinates in one frame");
    }
  }
  return ok();
}

std::optional<solve::Warning> compare_header(
    const rinex::ObservationHeader& header, const Ecef& known_m) {
  constexpr double kWorthAWordM = 5, kRoughM = 1000;
  const auto& stated = header.approx_position_m;
  if (!stated || norm(*stated) < 1) {
    return std::nullopt;
  }
  const double distance_m = norm(*stated - known_m);
  if (distance_m < kWorthAWordM) {
    return std::nullopt;
  }
  const Enu offset = to_enu(*stated, known_m);
  return solve::Warning{
      "header_position_differs",
      fmt::format(
          "the position that the file of {} states lies {:.2f} m from "
          "the known coordinate (east {:+.2f}, north {:+.2f}, up "
          "{:+.2f} m); it was not used. {}",
          header.marker_name.empty() ? "the known station" : header.marker_name,
          distance_m,
          offset.e_m,
          offset.n_m,
          offset.u_m,
          distance_m < kRoughM
              ? "Either it is a rough position or the known "
                "coordinate is wrong"
              : "The known coordinate is wrong, or the file is of "
                "another station"),
      distance_m};
}

std::optional<solve::Warning> odd_height(
    const rinex::ObservationHeader& header) {
  constexpr double kLowestM = -0.1, kHighestM = 5;
  const double height_m = header.antenna_delta_enu_m.u_m;
  if (height_m >= kLowestM && height_m <= kHighestM) {
    return std::nullopt;
  }
  return solve::Warning{
      "antenna_height_odd",
      fmt::format("the file of {} puts the antenna {:.4f} m above the marker; "
                  "it was taken as it stands. Check the line ANTENNA: DELTA "
                  "H/E/N of its header",
                  header.marker_name.empty() ? "a station without a name"
                                             : header.marker_name,
                  height_m),
      std::abs(height_m)};
}

}  // namespace stillpoint::app
