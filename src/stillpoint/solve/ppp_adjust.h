// The adjustment of the phase solution: position, zenith delay and gradients
// as random walks, a clock of the receiver for every system and epoch, an
// ambiguity for every arc; one pass over the rows in time order, unknowns
// eliminated when they are done with, and one walk back for the residuals.
#pragma once

#include <Eigen/Dense>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "stillpoint/math/sequential_normals.h"
#include "stillpoint/solve/ppp_noise.h"
#include "stillpoint/solve/ppp_rows.h"
#include "stillpoint/solve/terms.h"

namespace stillpoint::solve {

// Random walks of the air, one sigma after one hour, and before the data [m].
// Common practice: 3 to 10 mm and some tenths of a millimetre; no source.
inline constexpr double kZenithWalkM = 0.004, kGradientWalkM = 0.0003;
inline constexpr double kZenithPriorM = 0.15, kGradientPriorM = 0.0005;

// The answer as it stood after an epoch.
struct PppMilestone {
  std::size_t epoch = 0;
  Eigen::Vector3d dx_m;  // from the reference, ECEF
  Eigen::Matrix3d formal_m2;
};

struct PppEstimate {
  Eigen::Vector3d dx_m = Eigen::Vector3d::Zero();  // ECEF, from the reference
  Eigen::Matrix3d formal_m2 = Eigen::Matrix3d::Zero();
  // By epoch: correction of the zenith delay, gradients north and east [m].
  std::vector<std::array<double, 3>> air_m;
  // By epoch: one sigma of the zenith delay as of the data up to there [m];
  // NaN where it was not asked for.
  std::vector<double> zenith_sigma_m;
  std::vector<double> ambiguity_m;  // by arc, without PppArc::offset_m
  std::vector<PppMilestone> milestones;
  int phase_rows = 0, code_rows = 0;
};

class PppAdjuster {
 public:
  PppAdjuster(PppSession& session, const TermSet& without)
      : session_(session), without_(without) {}

  // One pass; residuals go into the rows, of edited ones too.
  //
  //   milestones   also notes the answer at every full hour of data and the
  //                zenith delay's sigma
  //   keep         by arc, or empty: its ambiguity stays at hand to the end,
  //   for
  //                ambiguities() and constrain()
  //   returns      nothing when the rows do not determine a position
  std::optional<PppEstimate> run(const PppNoise& noise,
                                 bool milestones,
                                 const std::vector<bool>& keep = {});

  // After run(): ambiguities of arcs that were kept, without
  // PppArc::offset_m [m]. False: singular.
  bool ambiguities(std::span<const std::uint32_t> arcs,
                   Eigen::VectorXd& values_m,
                   Eigen::MatrixXd& covariance_m2) const;

  // sum of coefficient * ambiguity = value_m, as one more observation about
  // kept arcs; a second one of the opposite weight takes it back. refresh()
  // brings position, residuals and the last milestone up to date.
  struct ArcTerm {
    std::uint32_t arc = 0;
    double coefficient = 0;
  };
  void constrain(std::span<const ArcTerm> terms, double value_m, double weight);
  bool refresh(PppEstimate& out);

  // What is left of a row's phase with its slow error still in it [m]; NaN
  // where the row has none. After run() or refresh().
  [[nodiscard]] double phase_with_slow_m(std::size_t row) const {
    return phase_with_slow_m_[row];
  }

  // After run(): how each of the three coordinates moves when a row's phase or
  // code is off by one metre, given that row's own unknowns.
  struct Influence {
    Eigen::Vector3d phase = Eigen::Vector3d::Zero();
    Eigen::Vector3d code = Eigen::Vector3d::Zero();
  };
  [[nodiscard]] std::vector<Influence> influences(const PppNoise& noise) const;

 private:
  struct EpochUnknowns {
    math::UnknownId air[3] = {0, 0, 0};
    math::UnknownId clock[kSystemCount] = {};
    bool has_clock[kSystemCount] = {};
  };
  struct Slow {
    math::UnknownId id = 0;
    GnssTime time;
  };
  [[nodiscard]] std::size_t row_index(const PppRow& row) const {
    return static_cast<std::size_t>(&row - session_.rows.data());
  }
  void step_air(std::size_t k);
  void step_slow(Slow& slow, GnssTime t);
  void add_rows(std::size_t k, const PppNoise& noise, PppEstimate& out);
  void end_arcs(std::size_t k, const std::vector<bool>& keep);
  void note_milestone(std::size_t k, PppEstimate& out);
  // What a row's code and phase have in common by the values of the unknowns.
  [[nodiscard]] double common_m(const PppRow& r,
                                const EpochUnknowns& u,
                                const std::vector<double>& values) const;
  void fill_residuals(const std::vector<double>& values);

  PppSession& session_;
  TermSet without_;
  math::SequentialNormals normals_;
  math::UnknownId position_[3] = {};
  math::UnknownId air_[3] = {};
  math::UnknownId mapping_ = 0;  // in sigmas of the hydrostatic mapping
  GnssTime air_time_;
  std::vector<EpochUnknowns> unknowns_;
  std::vector<math::UnknownId> ambiguity_;
  std::vector<bool> has_ambiguity_;
  // The slow error of every arc at the time, and which one a row had.
  std::vector<Slow> slow_;
  std::vector<math::UnknownId> row_slow_;
  std::vector<float> phase_with_slow_m_;
};

// How the gradient's two components enter a range, by elevation: (north, east).
//
//   source   Chen, Herring, J. Geophys. Res. 102 (1997) 20489, eqs 3, 4, with
//            C = 0.0032 (from memory)
std::array<double, 2> gradient_factors(const PppRow& row);

}  // namespace stillpoint::solve
