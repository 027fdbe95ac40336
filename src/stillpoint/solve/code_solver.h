// `locate --method code`: a fixed antenna's position from its code ranges,
// epoch after epoch as they are read, in bounded memory.
#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/solve/code_options.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::solve {

class CodeSolver {
 public:
  // `orbits` must outlive the solver.
  CodeSolver(const CodeOptions& options, const OrbitSource& orbits);
  ~CodeSolver();
  CodeSolver(CodeSolver&&) noexcept;
  CodeSolver& operator=(CodeSolver&&) noexcept;

  // Epochs in time order. More than kMaxRows observations are thinned: every
  // second epoch is dropped, as often as needed, and a warning says so.
  static constexpr std::size_t kMaxRows = 1'500'000;
  void add(const Epoch& epoch);

  // Solves what was added. Always answers; see Solution::why.
  //
  //   accuracy  docs/validation.md, against published coordinates
  //   source    weighted least squares with the clocks of every epoch
  //             eliminated; sigma: docs/sigma.md
  Solution finish();

  // After finish(): every epoch by itself, and the mean of pieces of a given
  // length. Phase centre of the antenna, sigmas with the calibration term.
  [[nodiscard]] std::vector<PiecePosition> epoch_positions() const;
  [[nodiscard]] std::vector<PiecePosition> piece_positions(
      double length_s) const;

  struct State;  // code_state.h

 private:
  std::unique_ptr<State> state_;
};

// One sigma of an antenna without any calibration, east, north, up [m].
//
//   source   design of the project, section 7: offset-only term 8 mm
//            horizontally, 20 mm + 4 mm per degree of mask up; none: twice that
std::array<double, 3> uncalibrated_sigma_enu_m(double elevation_mask_rad);

}  // namespace stillpoint::solve
