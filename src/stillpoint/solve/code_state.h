// What a CodeSolver holds, shared by the parts that fill, solve and tell.
#pragma once

#include <optional>
#include <vector>

#include "stillpoint/solve/code_adjust.h"
#include "stillpoint/solve/code_covariance.h"
#include "stillpoint/solve/code_measure.h"
#include "stillpoint/solve/code_solver.h"

namespace stillpoint::solve {

struct CodeSolver::State {
  CodeOptions options;
  const OrbitSource* orbits = nullptr;

  CodeSession session;
  SiteAtmosphere atmosphere;
  Counts counts;
  MeasureLog log;
  std::vector<CodeMeasurement> measurements;  // of the epoch at hand
  bool located = false;  // session.reference is near the antenna
  int stride = 1;        // every stride-th epoch is kept
  int offered = 0;

  ErrorModel model;
  ErrorMemory memory;
  std::optional<Adjustment> adjustment;
};

// Position of the antenna from one epoch's measurements alone, from nothing;
// within some ten metres. Nothing when it does not work out.
std::optional<Ecef> first_position(
    const std::vector<CodeMeasurement>& measurements,
    GnssTime time,
    const CodeOptions& options,
    const CodeSession& groups);

// Fills fits, counts and warnings of a solution from a solved state.
void describe(const CodeSolver::State& state, Solution& solution);

}  // namespace stillpoint::solve
