// What can be wrong with the two ends of a tie before anything is computed.
#pragma once

#include <optional>
#include <vector>

#include "stillpoint/app/tie_args.h"
#include "stillpoint/core/result.h"
#include "stillpoint/report/locate_context.h"
#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::app {

// A file of one station that is also a file of another, by its digest.
//
//   inputs   every input with its digest
//   errors   kMixedInput
Status check_files_differ(const TieArgs& args,
                          const std::vector<report::InputFile>& inputs);

// Whether two headers speak of one and the same receiver: marker, serial
// number and place. Two receivers at one mark are two stations.
//
//   errors   kMixedInput
Status check_stations_differ(const rinex::ObservationHeader& a,
                             const rinex::ObservationHeader& b,
                             const std::string& path);

// The known coordinates are in one frame, or in frames aligned to one ITRF.
//
//   errors   kMixedInput
Status check_one_frame(const TieArgs& args);

// How far the position of a header lies from the known coordinate; nothing for
// less than 5 m, which is what receivers' own positions are good for (common
// practice, no source). The header is only compared, never used.
std::optional<solve::Warning> compare_header(
    const rinex::ObservationHeader& header, const Ecef& known_m);

// An antenna's height above its marker that is hardly one: below the marker by
// more than 0.1 m or above it by more than 5 m (common practice, no source).
// Every millimetre of it is a millimetre of the answer.
std::optional<solve::Warning> odd_height(
    const rinex::ObservationHeader& header);

}  // namespace stillpoint::app
