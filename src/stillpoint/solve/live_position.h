// Where the antenna is by its code ranges, while the stream runs: a check of
// the coordinate that a station sends, good to a metre or two. One epoch in
// thirty seconds is solved by itself; the mean of the last hour is the answer.
#pragma once

#include <array>
#include <memory>
#include <optional>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/orbit_source.h"
#include "stillpoint/solve/code_options.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

struct LiveFix {
  Ecef antenna_m;  // phase centre, some centimetres from the reference point
  std::array<double, 3> sigma_enu_m{};
  int epochs = 0;        // in the mean
  int satellites = 0;    // of the last of them
  GnssTime first, last;  // of them

  [[nodiscard]] double distance_m(const Ecef& other) const {
    return norm(other - antenna_m);
  }
};

class LivePosition {
 public:
  static constexpr double kStepS = 30, kWindowS = 3600;

  // Of the options the ionosphere, the antenna's height and what the header
  // said are not used.
  explicit LivePosition(const CodeOptions& options = {});
  ~LivePosition();
  LivePosition(LivePosition&&) noexcept;
  LivePosition& operator=(LivePosition&&) noexcept;

  // Takes an epoch of a stream; most are let pass. Epochs that are late are
  // left out; a clock set back by more than a minute begins the hour afresh.
  void add(const Epoch& epoch,
           const OrbitSource& orbits,
           const IonosphereParameters& ionosphere);

  // The mean of the last hour without the epochs that stand apart; nothing
  // until one was solved. Frame: that of the orbits.
  //
  //   accuracy  against a published coordinate, an hour: 2 m (validation
  //             test LivePosition.*)
  //   source    limit of what stands apart: common practice; sigma: memory of
  //             code errors as docs/sigma.md has it, without the hour's
  //             residuals
  [[nodiscard]] std::optional<LiveFix> fix() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::solve
