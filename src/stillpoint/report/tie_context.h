// What `tie` tells: the stations tied to, the vectors, the adjustment.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/report/locate_context.h"
#include "stillpoint/solve/known_station.h"
#include "stillpoint/solve/network.h"
#include "stillpoint/solve/ppp_series.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::report {

struct TieReport {
  std::string to;  // the station's marker, or its file
  std::string antenna_type;
  Enu antenna_delta_enu_m;
  std::string typed;  // the known coordinate, as it was typed
  solve::KnownCoordinate known;
  solve::MovedKnown moved;  // to the epoch of the answer
  solve::TieAnswer answer;
  solve::PppSeries series;
  // Of the adjustment; nothing: the tie was not part of it.
  std::optional<solve::NetworkTieResult> network;
};

struct TieContext {
  // The station that was sought; its method is left empty.
  LocateContext here;
  std::vector<TieReport> ties;
  // Its ties are those of `ties` that have a result, in their order; nothing:
  // no tie gave a vector.
  std::optional<solve::Network> network;
  // Sigmas of the adjusted position with the vectors' covariances free of the
  // antennas' calibration.
  std::array<double, 3> sigma_without_calibration_enu_m{};
  std::string frame;  // of the answer; empty: not stated
  // Of the answer: the middle of the data used.
  std::optional<GnssTime> epoch;
};

// Whether the tie has a vector that can be adjusted.
bool has_vector(const TieReport& tie);

// The tie whose known coordinate is suspected; null: none.
const TieReport* suspected(const TieContext& context);

// "tie-fixed" where every tie used stands on integers, else "tie-float".
std::string tie_method(const TieContext& context);

// The name to call a tie's station by: "(no name)" where it has none.
std::string name_of(const TieReport& tie);

// All ties as one solution: the adjusted position with the whole covariance,
// counts added up, residuals pooled, warnings of all of them once.
//
//   status   kFailed where no tie gave a vector; kNotConverged where one did
//            not converge or failed, or the known coordinates disagree
solve::Solution tie_solution(const TieContext& context);

}  // namespace stillpoint::report
