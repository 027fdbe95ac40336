// The adjustment of a tie: position of the marker here, the relative zenith
// delay and every satellite's difference of the ionosphere as they wander, a
// clock of every group and epoch for phases and for codes, an ambiguity for
// every arc. Clocks that are free at every epoch make the phases of a group
// differences between satellites too, with the right correlations.
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <vector>

#include "stillpoint/math/sequential_normals.h"
#include "stillpoint/solve/terms.h"
#include "stillpoint/solve/tie_noise.h"
#include "stillpoint/solve/tie_rows.h"
#include "stillpoint/solve/tie_solver.h"

namespace stillpoint::solve {

// What of the air differs between the ends.
struct TieAir {
  TieIonosphere ionosphere = TieIonosphere::kNone;
  // One sigma at the zenith, GPS band 1: of one satellite, and of what all
  // satellites share, since the ionosphere slopes from one end to the other.
  double ionosphere_m = 0, slope_m = 0;
  // One sigma of the zenith delay here less that there, and of that there; 0:
  // no unknown. The latter shows where the ends see the sky differently.
  double zenith_m = 0, zenith_there_m = 0;
  // Phases of GLONASS: one sigma of what the two receivers delay neighbouring
  // channels apart by [m].
  double channel_m = 0.025;
  double zenith_walk_m = 0;  // of each in one hour
};

struct TieMilestone {
  std::size_t epoch = 0;
  Eigen::Vector3d dx_m;
  Eigen::Matrix3d formal_m2;
};

struct TieEstimate {
  Eigen::Vector3d dx_m = Eigen::Vector3d::Zero();  // ECEF, from the reference
  Eigen::Matrix3d formal_m2 = Eigen::Matrix3d::Zero();
  double zenith_m = 0;  // relative, last epoch
  // By sight: difference of the ionosphere at the zenith, band 1, without what
  // all satellites share [m]; NaN: not adjusted.
  std::vector<float> ionosphere_m;
  std::vector<TieMilestone> milestones;
  std::vector<double> ambiguity_m;  // by arc, without offset; 0: none
  int phase_rows = 0, code_rows = 0;
};

// Whole numbers that the ambiguities' combinations are held at.
struct TieHold {
  struct Term {
    std::uint32_t arc = 0;
    double factor = 0;  // of the arc's ambiguity in cycles
  };
  std::vector<Term> terms;
  double value_cyc = 0;
};

class TieAdjuster {
 public:
  TieAdjuster(TieSession& session, const TermSet& without)
      : session_(session), without_(without) {}

  // One pass over the rows.
  //
  //   for_integers  ambiguities stay to the end, for ambiguities() and hold();
  //                 and the answer at full hours is noted. Without, they go
  //                 with their arcs, which is faster
  //   returns       false when the rows do not determine a position
  bool run(const TieNoise& noise, const TieAir& air, bool for_integers);

  // The same with a position for every part of the session.
  //
  //   known      by arc: the ambiguity is not an unknown, but as given in
  //              ambiguity_m [m]
  //   returns    3 * count coordinates from the reference, and their
  //   covariance;
  //              nothing where the rows do not determine them
  struct Parts {
    Eigen::VectorXd dx_m;
    Eigen::MatrixXd formal_m2;
  };
  std::optional<Parts> run_parts(const TieNoise& noise,
                                 const TieAir& air,
                                 std::size_t count,
                                 const std::vector<bool>& known,
                                 const std::vector<double>& ambiguity_m);

  // Ambiguities of some arcs, all of which have one, before hold().
  struct Ambiguities {
    Eigen::VectorXd values_cyc;           // n, without the arcs' offsets
    Eigen::MatrixXd covariance_cyc2;      // n x n
    Eigen::MatrixXd with_position_m_cyc;  // 3 x n
  };
  // Nothing: the normals are singular.
  [[nodiscard]] std::optional<Ambiguities> ambiguities(
      const std::vector<std::uint32_t>& arcs) const;
  [[nodiscard]] bool has_ambiguity(std::uint32_t arc) const {
    return has_ambiguity_[arc];
  }

  // Holds combinations at whole numbers from here on, until release().
  void hold(const std::vector<TieHold>& holds);
  // As after run().
  void release();

  // The answer, and residuals into the rows, of edited ones too.
  bool finish(TieEstimate& out);

  // After finish(): how each of the three coordinates moves when a row's phase
  // or code is off by one metre.
  struct Influence {
    Eigen::Vector3d phase = Eigen::Vector3d::Zero();
    Eigen::Vector3d code = Eigen::Vector3d::Zero();
  };
  [[nodiscard]] std::vector<Influence> influences(const TieNoise& noise) const;

 private:
  static constexpr math::UnknownId kNoUnknown = 0xffffffffu;
  struct GroupClocks {
    math::UnknownId phase = kNoUnknown, code = kNoUnknown;
  };
  struct Wander {
    math::UnknownId id = kNoUnknown;
    GnssTime time;
  };
  void begin(const TieNoise& noise, const TieAir& air);
  void step_zenith(GnssTime t);
  // One unknown that walks.
  void step_walk(Wander& wander, double prior_m, GnssTime t);
  void step_slope(GnssTime t);
  math::UnknownId ionosphere_of(SatId sat, GnssTime t);
  void add_epoch(std::size_t k);
  void add_sight(std::size_t k, const TieSight& s);
  void end_arcs(std::size_t k);
  void note_milestone(std::size_t k);
  [[nodiscard]] math::UnknownId ambiguity_of(std::uint32_t arc);
  // What a sight's rows have in common, and how much of the ionosphere a row
  // has, by the values of the unknowns.
  [[nodiscard]] double common_m(std::size_t k,
                                const TieSight& s,
                                const std::vector<double>& values) const;
  // What a phase has of its channel.
  [[nodiscard]] double channel_m(const TieRow& r,
                                 const std::vector<double>& values) const;
  [[nodiscard]] double ionosphere_m(std::size_t k,
                                    const TieSight& s,
                                    const std::vector<double>& values) const;

  TieSession& session_;
  TermSet without_;
  TieNoise noise_;
  TieAir air_;
  math::SequentialNormals normals_;
  std::optional<math::SequentialNormals::Active> before_hold_;
  math::UnknownId position_[3] = {};
  Wander zenith_, zenith_there_, slope_;
  std::vector<math::UnknownId> channels_;   // by group; GLONASS alone
  std::vector<Wander> ionosphere_;          // by satellite
  std::vector<math::UnknownId> ambiguity_;  // by arc
  std::vector<bool> has_ambiguity_;
  // By arc, where the ambiguities are known; empty: none are.
  std::vector<bool> known_;
  std::vector<double> known_m_;
  std::vector<std::size_t> last_epoch_;  // by arc
  std::vector<math::UnknownId> zenith_at_, zenith_there_at_,
      slope_at_;                                // by epoch
  std::vector<math::UnknownId> ionosphere_at_;  // by sight
  std::vector<GroupClocks> clocks_;             // by epoch * groups + group
  TieEstimate counts_;  // rows and milestones of the last run
};

// Frequency channel of GLONASS, from the carrier; 0 for other systems.
double channel_of(const TieGroup& group, double wavelength_m);

// How much a difference of the ionosphere of one metre at the zenith, on GPS
// band 1, delays a code on this wavelength at an elevation.
double ionosphere_factor(const TieSight& s, double wavelength_m);

}  // namespace stillpoint::solve
