// What a PppSolver holds, shared by the parts that solve and tell.
#pragma once

#include <optional>

#include "stillpoint/solve/ppp_adjust.h"
#include "stillpoint/solve/ppp_arcs.h"
#include "stillpoint/solve/ppp_geometry.h"
#include "stillpoint/solve/ppp_integers.h"
#include "stillpoint/solve/ppp_sigma.h"
#include "stillpoint/solve/ppp_solver.h"

namespace stillpoint::solve {

struct PppSolver::State {
  PppOptions options;
  const OrbitSource* orbits = nullptr;
  PppSession session;
  Counts collected;  // of everything added
  PppSeries series;
  int stride = 1, offered = 0;

  // Of the last solve().
  Counts counts;
  PppModelLog models;
  PppNoise noise;
  PppEstimate estimate;
  int epochs_tried = 0;  // for a first position
  ArcFindings arcs;
  bool settled = false;
  PppIntegers integers;
  // With the memory of the errors, about the reference, ECEF [m^2].
  Eigen::Matrix3d covariance_m2 = Eigen::Matrix3d::Zero();
  // Honest over formal variances as the float answer has them, for the growth.
  Eigen::Matrix3d float_m2 = Eigen::Matrix3d::Zero(),
                  float_formal_m2 = Eigen::Matrix3d::Zero();
};

// Fills counts, fits and the span from a solved state.
void describe(const PppSolver::State& s, Solution& out);
// Growth, zenith delays and residuals, for pictures; needs the position.
void fill_series(PppSolver::State& s, const Solution& out);
// Appends what is doubtful, with the size it may have.
void warn(const PppSolver::State& s, Solution& out);
// Why there is no position at all: what the products hold beside the data.
std::string why_no_position(const PppSolver::State& s);
// Status and its reason in a sentence, from what describe() filled.
void judge(const PppSolver::State& s, Solution& out);

// One sigma that the antenna's calibration adds, east, north, up [m].
//
//   source   design of the project, section 7
std::array<double, 3> calibration_sigma_enu_m(Calibration level,
                                              double elevation_mask_rad);

}  // namespace stillpoint::solve
