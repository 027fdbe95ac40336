// `locate --method ppp`: a fixed antenna's position from its phases and codes
// and published orbits and clocks.
#pragma once

#include <cstddef>
#include <memory>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_series.h"
#include "stillpoint/solve/solution.h"

namespace stillpoint::solve {

class PppSolver {
 public:
  // `orbits` and the options' aids must outlive the solver.
  PppSolver(const PppOptions& options, const OrbitSource& orbits);
  ~PppSolver();
  PppSolver(PppSolver&&) noexcept;
  PppSolver& operator=(PppSolver&&) noexcept;

  // Epochs in time order. More than kMaxRows rows are thinned: every second
  // epoch is dropped, as often as needed.
  static constexpr std::size_t kMaxRows = 400'000;
  void add(const Epoch& epoch);

  // Solves what was added so far; more may be added and solved again. Always
  // answers; see Solution::why.
  //
  //   accuracy  docs/validation.md, against published coordinates
  //   source    weighted least squares as ppp_adjust.h says; integers:
  //             docs/integers.md; sigma: docs/sigma.md
  Solution solve();

  // Of the last solve().
  [[nodiscard]] const PppSeries& series() const;

  struct State;  // ppp_state.h

 private:
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::solve
