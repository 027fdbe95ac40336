#include "stillpoint/solve/tie_arcs.h"

#include <algorithm>
#include <cmath>

#include "stillpoint/math/robust.h"

namespace stillpoint::solve {
namespace {

constexpr double kStepLimitM = 0.05;
// Growth with time: what the ionosphere's difference may do at a distance
// [m/s per m], and phases at rest [m/s].
constexpr double kDriftMps = 2e-5, kDriftPerM = 3e-9;
constexpr double kLongestGapS = 600;
// A limit beyond this share of the wavelength tells no slip from none.
constexpr double kBlindCyc = 0.45;
constexpr std::size_t kFewestForClock = 4;
constexpr int kShortestRows = 5;

struct Track {
  GnssTime time;
  double phase_m = 0;
  double clock_m = 0;
  std::uint32_t arc = 0;
  bool any = false;
};

class Finder {
 public:
  Finder(TieSession& session, double length_m)
      : session_(session),
        drift_mps_(kDriftMps + kDriftPerM * length_m),
        tracks_(session.groups.size() *
                static_cast<std::size_t>(SatId::kIndexCount)) {}

  int run();

 private:
  Track& track(const TieSight& s, const TieRow& r) {
    return tracks_[static_cast<std::size_t>(r.group) *
                       static_cast<std::size_t>(SatId::kIndexCount) +
                   static_cast<std::size_t>(s.sat.index())];
  }
  void advance_clock(const TieEpoch& epoch);
  [[nodiscard]] bool continues(const TieSight& s,
                               const TieRow& r,
                               const Track& before,
                               GnssTime t) const;

  TieSession& session_;
  double drift_mps_;
  std::vector<Track> tracks_;
  std::vector<double> differences_;
  double clock_m_ = 0;
  bool clock_known_ = false;
};

void Finder::advance_clock(const TieEpoch& epoch) {
  differences_.clear();
  for (const TieSight& s : session_.sights_of(epoch)) {
    if (!s.modelled) {
      continue;
    }
    for (const TieRow& r : session_.rows_of(s)) {
      const Track& before = track(s, r);
      if (before.any && (epoch.time - before.time).s <= kLongestGapS) {
        differences_.push_back(r.phase_m - before.phase_m + before.clock_m);
      }
    }
  }
  clock_known_ = differences_.size() >= kFewestForClock;
  if (clock_known_) {
    clock_m_ = math::median_in_place(differences_);
  }
}

bool Finder::continues(const TieSight& s,
                       const TieRow& r,
                       const Track& before,
                       GnssTime t) const {
  const double dt_s = (t - before.time).s;
  if (!before.any || !clock_known_ || dt_s > kLongestGapS) {
    return false;
  }
  const double low =
      1 / std::max(0.1, std::sin(static_cast<double>(s.elevation_rad)));
  const double limit_m = kStepLimitM * (0.6 + 0.4 * low) +
                         low * drift_mps_ * std::max(0.0, dt_s - 30);
  if (dt_s > 2 * session_.interval_s && limit_m > kBlindCyc * r.wavelength_m) {
    return false;
  }
  return std::abs(r.phase_m - before.phase_m - (clock_m_ - before.clock_m)) <=
         limit_m;
}

int Finder::run() {
  session_.arcs.clear();
  int slips = 0;
  for (const TieEpoch& epoch : session_.epochs) {
    advance_clock(epoch);
    for (const TieSight& s : session_.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      for (TieRow& r : session_.rows_of(s)) {
        Track& before = track(s, r);
        if (!continues(s, r, before, epoch.time)) {
          slips += before.any && (epoch.time - before.time).s <=
                                     3 * session_.interval_s
                       ? 1
                       : 0;
          before.arc = static_cast<std::uint32_t>(session_.arcs.size());
          session_.arcs.push_back({s.sat,
                                   r.group,
                                   epoch.time,
                                   epoch.time,
                                   0,
                                   r.wavelength_m,
                                   0,
                                   0,
                                   true});
          r.flags |= kTieSlip;
        }
        before = {epoch.time, r.phase_m, clock_m_, before.arc, true};
        r.arc = before.arc;
        TieArc& arc = session_.arcs[r.arc];
        arc.last = epoch.time;
        ++arc.rows;
        const double low =
            1 / std::max(0.1, std::sin(static_cast<double>(s.elevation_rad)));
        arc.cosecant += (low - arc.cosecant) / arc.rows;
      }
    }
  }
  return slips;
}

}  // namespace

int find_tie_arcs(TieSession& session, double length_m) {
  return Finder(session, length_m).run();
}

void finish_tie_arcs(TieSession& session) {
  std::vector<bool> begun(session.arcs.size(), false);
  const int fewest = std::min(
      kShortestRows, std::max(1, static_cast<int>(session.epochs.size()) / 2));
  for (const TieEpoch& epoch : session.epochs) {
    double level_at_m = 0;  // of any code, where a row has none itself
    for (const TieSight& s : session.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      for (const TieRow& r : session.rows_of(s)) {
        level_at_m = r.has_code() ? r.code_m : level_at_m;
      }
    }
    for (const TieSight& s : session.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      for (TieRow& r : session.rows_of(s)) {
        TieArc& arc = session.arcs[r.arc];
        r.flags = static_cast<std::uint8_t>(arc.rows < fewest
                                                ? r.flags | kTieShortArc
                                                : r.flags & ~kTieShortArc);
        if (!begun[r.arc]) {
          begun[r.arc] = true;
          const double code_m = r.raw_code_m();
          const double level_m = is_present(code_m) ? code_m : level_at_m;
          arc.offset_cyc = std::round((r.phase_m - level_m) / arc.wavelength_m);
        }
        r.phase_m -= arc.offset_cyc * arc.wavelength_m;
      }
    }
  }
}

void move_reference(TieSession& session, const Ecef& dx_m) {
  session.reference_m = session.reference_m + dx_m;
  for (const TieEpoch& epoch : session.epochs) {
    for (const TieSight& s : session.sights_of(epoch)) {
      if (!s.modelled) {
        continue;
      }
      const double nearer_m = dot(s.to_satellite, dx_m);
      for (TieRow& r : session.rows_of(s)) {
        const TieArc& arc = session.arcs[r.arc];
        r.phase_m += nearer_m + arc.offset_cyc * arc.wavelength_m;
        r.code_m += nearer_m;
        r.flags = 0;
      }
    }
  }
  session.arcs.clear();
}

}  // namespace stillpoint::solve
