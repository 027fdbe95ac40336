// Cycle slips of one satellite's phases, by signal: told by the receiver, by a
// jump between two phases, or by the wide lane.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "stillpoint/gnss/signal.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::quality {

struct PhaseSample {
  SignalCode signal;
  double frequency_hz = 0;
  double phase_m = 0;
  double code_m = 0;  // NaN: no code
  bool lost = false;  // the receiver's flag
};

struct PhaseVerdict {
  bool tracked = false;     // the phase was there within the longest gap
  bool checked = false;     // compared with another phase of the satellite
  bool slip = false;        // in a tracked phase
  bool doubtful = false;    // may have slipped; the next epoch tells
  bool code_jump = false;   // the code went off by parts of a millisecond
  double code_moved_m = 0;  // against the phase; NaN: not known
  [[nodiscard]] bool broken() const { return !tracked || slip || code_jump; }
};

// What is found:
//   - the flag of a phase that was tracked;
//   - a phase whose distance from another one (geometry-free) leaves the line
//     of its drift by more than 4 cm + 1 mm for each second of the step. Of
//     three and more phases the one in most broken pairs has slipped, of two
//     the one whose whole cycles fit the jump and the wide lane
//     (Melbourne-Wubbena) better, or both where that does not decide. Where a
//     change of the ionosphere's drift fits better than whole cycles, nothing
//     has slipped;
//   - a jump of the wide lane that the next epoch repeats, where the distance
//     of the phases stayed: both have slipped (9 cycles of L1 and 7 of L2
//     differ by 3 mm only). It is told one epoch late;
//   - a jump of 15 m between the code and a phase that has no other to be
//     compared with.
// What is not: equal small slips of two phases (one cycle of L1 and one of L2
// are 5 cm) and half cycles at steps of 30 s. Two phases on one band that slip
// together are taken for a slip of the third. In a disturbed ionosphere slips
// of one cycle and changes of the drift are mistaken for each other at times.
//
//   source   Blewitt 1990, Geophys. Res. Lett. 17(3):199-202, for the two
//            combinations (from memory); limits: common practice, no source
class SlipCounter {
 public:
  static constexpr std::size_t kMostSignals = 12;

  // The satellite's phases of an epoch, later than the one before; at most
  // kMostSignals, each signal once, in ascending order.
  //
  //   longest_gap_s  what was away for longer begins anew
  //   returns        in the order of the samples, until the next call
  std::span<const PhaseVerdict> add(GnssTime t,
                                    double longest_gap_s,
                                    std::span<const PhaseSample> samples);
  // All begin anew: the receiver was off.
  void forget();

 private:
  static constexpr int kLeastLanes = 5;
  struct Phase {
    SignalCode signal;
    GnssTime last;
    double code_minus_phase_m = 0;  // NaN: no code
  };
  struct Pair {
    SignalCode first, second;
    GnssTime last;
    double distance_m = 0;  // first minus second
    double drift_mps = 0;   // of the distance: the ionosphere
    double broken_mps = 0;  // as seen in the last step, if that was broken
    bool was_broken = false;
    double drift_span_s = 0;  // that it was learnt over
    // Wide lane [cycles], over the last minutes.
    int lanes = 0;
    double lane_mean = 0, lane_variance = 0;
    bool lane_left = false;  // in the epoch before, to lane_seen
    double lane_seen = 0;

    void restart();
    [[nodiscard]] bool lane_known() const { return lanes >= kLeastLanes; }
    [[nodiscard]] double lane_sigma_cyc() const;
  };
  // A pair in the epoch in work.
  struct Test {
    std::size_t a = 0, b = 0;  // samples
    Pair* pair = nullptr;
    double distance_m = 0, jump_m = 0, step_s = 0;
    double lane = 0;  // NaN: none
    bool checked = false, broken = false;
    bool drifts = false;  // the jump is the ionosphere's
  };
  struct Jump;
  static Jump jump_of(const Test& test);
  void judge_phases(GnssTime t,
                    double longest_gap_s,
                    std::span<const PhaseSample> samples);
  void make_tests(GnssTime t,
                  double longest_gap_s,
                  std::span<const PhaseSample> samples);
  void blame_phases(std::span<const PhaseSample> samples);
  void blame_one_of(Test& test, std::span<const PhaseSample> samples);
  void blame(std::size_t worst, std::span<const PhaseSample> samples);
  [[nodiscard]] bool is_open(const Test& test) const;
  void judge_alone();
  void judge_lanes(std::span<const PhaseSample> samples);
  [[nodiscard]] bool is_vouched_for(const Test& test,
                                    std::span<const PhaseSample> samples) const;
  void keep(GnssTime t, std::span<const PhaseSample> samples);
  static void add_lane(Pair& pair, double lane);
  Pair& pair_of(SignalCode a, SignalCode b);

  std::vector<Phase> phases_;
  std::vector<Pair> pairs_;
  std::vector<Test> tests_;
  std::vector<PhaseVerdict> verdicts_;
};

}  // namespace stillpoint::quality
