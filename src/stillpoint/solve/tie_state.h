// What a TieSolver holds, shared by the parts that solve and tell.
#pragma once

#include "stillpoint/solve/tie_adjust.h"
#include "stillpoint/solve/tie_geometry.h"
#include "stillpoint/solve/tie_integers.h"
#include "stillpoint/solve/tie_parts.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::solve {

struct TieSolver::State {
  TieOptions options;
  const OrbitSource* orbits = nullptr;
  TieSession session;
  Counts collected;  // of everything added
  PppSeries series;
  int stride = 1, offered = 0;

  // Of the last solve().
  Counts counts;
  TieModelLog models;
  TieNoise noise;
  TieAir air;
  TieEstimate estimate, floating;
  TieIntegers integers;
  bool fixed = false, settled = false;
  std::string why_float;  // why there are no integers, where there could be
  int slips = 0, released = 0;
  double height_difference_m = 0, length_m = 0;
  Eigen::Matrix3d covariance_m2 = Eigen::Matrix3d::Zero();
  std::optional<TieMove> move;  // of an antenna, while it was observed
};

// How the air's difference is to be treated, from distance, heights and bands;
// docs/integers.md has the reasons and what they are worth.
TieAir choose_air(const TieSolver::State& s);

// Integers, where they can be had, after the float estimate has settled; what
// was decided is left in the adjuster.
//
//   returns   false: no estimate at all
bool fix_tie(TieSolver::State& s, TieAdjuster& adjuster);

// Fills everything of the answer but position and covariance.
void describe(TieSolver::State& s, TieAnswer& out);
// Status and its reason in a sentence; after describe().
void judge(const TieSolver::State& s, TieAnswer& out);
void warn(const TieSolver::State& s, TieAnswer& out);
// Growth and residuals, for pictures; needs the position.
void fill_series(TieSolver::State& s);
std::string why_no_vector(const TieSolver::State& s);

}  // namespace stillpoint::solve
