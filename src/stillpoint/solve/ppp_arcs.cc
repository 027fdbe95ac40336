#include "stillpoint/solve/ppp_arcs.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/ppp_jump.h"

namespace stillpoint::solve {
namespace {

constexpr double kLongestGapS = 600;
// Where a clock had to be bridged between samples far apart, a time difference
// may be off by so many of its sigmas.
constexpr double kBetweenSigmas = 4;
// Of one step of 30 s at the zenith [m]: phase noise and the air. Slips of one
// cycle on one frequency move the combination by 0.38 m and more, (1, 1) by
// 0.1 m, and of the pairs that move it by less than 0.1 m, such as (4, 5) and
// (3, 4), (7, 9), each moves the geometry-free difference by 0.4 m or more.
constexpr double kStepLimitM = 0.05;
constexpr double kStepGrowthMps = 1e-4;  // of the limit, beyond the first 30 s
constexpr double kGeometryFreeLimitM = 0.20;
constexpr double kGeometryFreeGrowthMps = 2e-3;  // without a rate yet
constexpr double kGeometryFreeRateMps = 4e-4;    // how far the rate may be off
constexpr double kWideLaneLimitCyc = 4;
// A moved antenna leaves the difference of the phases as it was; a lost lock
// does not.
constexpr double kLockedM = 0.04;
constexpr std::size_t kFewestForClock = 4;
constexpr int kShortestRows = 5;
constexpr double kShortestS = 120;
constexpr double kMillisecondM = 1e-3 * kSpeedOfLightMps;

struct Track {
  const PppRow* row = nullptr;
  GnssTime time;
  double clock_m = 0;  // of the receiver at that epoch, accumulated
  double rate_mps = 0;
  bool has_rate = false;
  int arc = -1;
};

bool same_signals(const PppRow& a, const PppRow& b) {
  return a.phase_first == b.phase_first && a.phase_second == b.phase_second;
}

// How far a time difference may be off [m].
double step_limit_m(double sine, double dt_s) {
  const double low = 1 / std::max(sine, 0.08);
  return kStepLimitM * (0.6 + 0.4 * low) +
         kStepGrowthMps * low * std::max(0.0, dt_s - 30);
}

class ArcFinder {
 public:
  explicit ArcFinder(PppSession& session)
      : session_(session), tracks_(SatId::kIndexCount) {}

  ArcFindings run();

 private:
  void mend_code_jump(std::span<PppRow> rows);
  void advance_clock(std::span<const PppRow> rows, GnssTime t);
  void look_for_jump(std::span<const PppRow> rows, GnssTime t);
  [[nodiscard]] bool continues(const PppRow& row,
                               const Track& track,
                               GnssTime t) const;
  void put(PppRow& row, GnssTime t);

  PppSession& session_;
  std::vector<Track> tracks_;
  double clock_m_ = 0;        // receiver clock by the phases, accumulated
  double phase_shift_m_ = 0;  // whole milliseconds that codes jumped by
  bool clock_known_ = false;
  ArcFindings findings_;
  std::vector<double> differences_;
};

// All satellites' code minus phase jump alike by whole milliseconds: the
// phases are moved along.
void ArcFinder::mend_code_jump(std::span<PppRow> rows) {
  differences_.clear();
  for (const PppRow& row : rows) {
    const Track& track = tracks_[static_cast<std::size_t>(row.sat.index())];
    if (row.modelled() && track.row != nullptr) {
      differences_.push_back((row.code_m - row.phase_m - phase_shift_m_) -
                             (track.row->code_m - track.row->phase_m));
    }
  }
  if (differences_.size() >= kFewestForClock) {
    const double jump_m = math::median_in_place(differences_);
    const double whole_m = kMillisecondM * std::round(jump_m / kMillisecondM);
    if (std::abs(jump_m - whole_m) < 100) {
      phase_shift_m_ += whole_m;
    }
  }
  if (phase_shift_m_ == 0) {
    return;
  }
  // For good: whoever looks at these rows again finds no jump.
  for (PppRow& row : rows) {
    row.phase_m += phase_shift_m_;
    row.phase_first_m += phase_shift_m_;
    row.phase_second_m += phase_shift_m_;
  }
}

void ArcFinder::advance_clock(std::span<const PppRow> rows, GnssTime t) {
  differences_.clear();
  for (const PppRow& row : rows) {
    const Track& track = tracks_[static_cast<std::size_t>(row.sat.index())];
    if (row.modelled() && track.row != nullptr &&
        (t - track.time).s <= kLongestGapS && same_signals(row, *track.row)) {
      differences_.push_back(row.phase_m - track.row->phase_m + track.clock_m);
    }
  }
  clock_known_ = differences_.size() >= kFewestForClock;
  if (clock_known_) {
    clock_m_ = math::median_in_place(differences_);
  }
}

void ArcFinder::look_for_jump(std::span<const PppRow> rows, GnssTime t) {
  if (!clock_known_) {
    return;
  }
  std::vector<TimeStep> steps;
  for (const PppRow& row : rows) {
    const Track& track = tracks_[static_cast<std::size_t>(row.sat.index())];
    if (row.modelled() && track.row != nullptr &&
        (t - track.time).s <= 3 * session_.interval_s &&
        same_signals(row, *track.row) &&
        std::abs(row.geometry_free_m() - track.row->geometry_free_m()) <
            kLockedM) {
      const double step_m =
          row.phase_m - track.row->phase_m - (clock_m_ - track.clock_m);
      steps.push_back({row.to_satellite,
                       step_m,
                       std::sin(static_cast<double>(row.elevation_rad)),
                       std::hypot(static_cast<double>(row.between_m),
                                  static_cast<double>(track.row->between_m))});
    }
  }
  const double size_m = jump_of(steps);
  if (size_m > 0 && (!findings_.jump || size_m > findings_.jump->size_m)) {
    findings_.jump = ArcFindings::Jump{t, size_m};
  }
}

bool ArcFinder::continues(const PppRow& row,
                          const Track& track,
                          GnssTime t) const {
  const double dt_s = (t - track.time).s;
  if (track.row == nullptr || dt_s > kLongestGapS ||
      !same_signals(row, *track.row)) {
    return false;
  }
  if (!clock_known_) {
    return (row.lli & 1) == 0;
  }
  const double step_m =
      row.phase_m - track.row->phase_m - (clock_m_ - track.clock_m);
  const double clocks_m =
      kBetweenSigmas * std::hypot(static_cast<double>(row.between_m),
                                  static_cast<double>(track.row->between_m));
  if (std::abs(step_m) >
      clocks_m + step_limit_m(std::sin(static_cast<double>(row.elevation_rad)),
                              dt_s)) {
    return false;
  }
  const double change_m = row.geometry_free_m() - track.row->geometry_free_m();
  const double limit_m =
      kGeometryFreeLimitM +
      (track.has_rate ? kGeometryFreeRateMps : kGeometryFreeGrowthMps) * dt_s;
  if (std::abs(change_m - track.rate_mps * dt_s) > limit_m) {
    return false;
  }
  return std::abs(row.wide_lane_cyc() - track.row->wide_lane_cyc()) <
         kWideLaneLimitCyc *
             (1 +
              1 / std::max(0.1,
                           std::sin(static_cast<double>(row.elevation_rad))));
}

void ArcFinder::put(PppRow& row, GnssTime t) {
  Track& track = tracks_[static_cast<std::size_t>(row.sat.index())];
  if (continues(row, track, t)) {
    const double dt_s = (t - track.time).s;
    track.rate_mps =
        (row.geometry_free_m() - track.row->geometry_free_m()) / dt_s;
    track.has_rate = true;
  } else {
    const bool slip =
        track.row != nullptr && (t - track.time).s <= 3 * session_.interval_s;
    findings_.slips += slip ? 1 : 0;
    track.arc = static_cast<int>(session_.arcs.size());
    track.has_rate = false;
    track.rate_mps = 0;
    session_.arcs.push_back({row.sat, t, t, 0, 0});
    row.flags |= kRowSlip;
  }
  track.row = &row;
  track.time = t;
  track.clock_m = clock_m_;
  row.arc = static_cast<std::uint32_t>(track.arc);
  PppArc& arc = session_.arcs[row.arc];
  arc.last = t;
  ++arc.rows;
}

ArcFindings ArcFinder::run() {
  session_.arcs.clear();
  for (PppEpoch& epoch : session_.epochs) {
    const auto rows = session_.rows_of(epoch);
    mend_code_jump(rows);
    advance_clock(rows, epoch.time);
    look_for_jump(rows, epoch.time);
    for (PppRow& row : rows) {
      if (row.modelled()) {
        put(row, epoch.time);
      }
    }
  }
  return findings_;
}

}  // namespace

ArcFindings find_arcs(PppSession& session) {
  return ArcFinder(session).run();
}

void move_reference(PppSession& session, const Ecef& dx) {
  session.reference = session.reference + dx;
  for (PppRow& row : session.rows) {
    if (!row.modelled()) {
      continue;
    }
    const double nearer_m = dot(row.to_satellite, dx);
    row.code_m += nearer_m;
    row.phase_m += nearer_m + session.arcs[row.arc].offset_m;
    row.flags = 0;
  }
  session.arcs.clear();
}

void finish_arcs(PppSession& session) {
  std::vector<bool> begun(session.arcs.size(), false);
  for (PppArc& arc : session.arcs) {
    arc.offset_m = 0;
  }
  for (PppRow& row : session.rows) {
    if (!row.modelled()) {
      continue;
    }
    PppArc& arc = session.arcs[row.arc];
    const bool brief =
        arc.rows < kShortestRows || (arc.last - arc.first).s < kShortestS;
    row.flags = static_cast<std::uint8_t>(brief ? row.flags | kRowShortArc
                                                : row.flags & ~kRowShortArc);
    if (!begun[row.arc]) {
      begun[row.arc] = true;
      arc.offset_m = row.phase_m - row.code_m;
    }
    row.phase_m -= arc.offset_m;
  }
}

}  // namespace stillpoint::solve
