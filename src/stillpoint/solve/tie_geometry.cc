#include "stillpoint/solve/tie_geometry.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/tie_view.h"

namespace stillpoint::solve {
namespace {

// Two receiving times this near share one state of the satellite, moved along
// its velocity: 0.3 um of its curved path are left out.
constexpr double kSameStateS = 1e-3;

class TieModel {
 public:
  TieModel(const OrbitSource& orbits,
           const TieOptions& options,
           TieSession& session,
           Counts& counts)
      : orbits_(orbits),
        options_(options),
        session_(session),
        counts_(counts),
        far_(norm(session.reference_m - options.there_marker_m) > kTieFarM),
        alike_codes_(!options.here.receiver_type.empty() &&
                     options.here.receiver_type == options.there.receiver_type),
        here_(options, options.here, session, session.reference_m),
        there_(options, options.there, session, options.there_marker_m) {}

  void run();
  TieModelLog log() const;

 private:
  bool exclude(const TieSight& s, Exclusion reason) {
    ++counts_.excluded[s.sat][static_cast<std::size_t>(reason)];
    return false;
  }
  bool sight(TieSight& s, const TieEpoch& epoch);
  void drop_wild(const TieEpoch& epoch);

  const OrbitSource& orbits_;
  const TieOptions& options_;
  TieSession& session_;
  std::vector<double> codes_;
  Counts& counts_;
  bool far_;
  // Receivers of one make delay the codes of GLONASS's channels alike; those of
  // two differ by metres, channel by channel.
  bool alike_codes_;
  TieView here_, there_;
};

// Codes that say when the signals were sent: the middle one of each end's, so
// that a wild one among several does not.
struct Sent {
  double here_m = kMissing, there_m = kMissing;
};
Sent middle_codes(std::span<const TieRow> rows) {
  std::array<double, 8> here{}, there{};
  std::size_t count = 0;
  for (const TieRow& r : rows) {
    if (is_present(r.code_here_m) && count < here.size()) {
      here[count] = r.code_here_m;
      there[count++] = r.code_there_m;
    }
  }
  if (count == 0) {
    return {};
  }
  const auto middle = [count](std::array<double, 8>& codes) {
    const auto at = codes.begin() + static_cast<std::ptrdiff_t>(count / 2);
    std::nth_element(
        codes.begin(), at, codes.begin() + static_cast<std::ptrdiff_t>(count));
    return *at;
  };
  return {middle(here), middle(there)};
}

bool TieModel::sight(TieSight& s, const TieEpoch& epoch) {
  const auto rows = session_.rows_of(s);
  const Sent codes = middle_codes(rows);
  if (!is_present(codes.here_m)) {
    return exclude(s, Exclusion::kNoSignalPair);
  }
  const GnssTime there_tag = epoch.time + epoch.tag_difference;
  const GnssTime sent_here =
      epoch.time - Duration{codes.here_m / kSpeedOfLightMps};
  const GnssTime sent_there =
      there_tag - Duration{codes.there_m / kSpeedOfLightMps};
  const auto here = orbits_.state(s.sat, sent_here);
  if (!here) {
    return exclude(s,
                   here.error() == NoState::kUnhealthy ? Exclusion::kUnhealthy
                                                       : Exclusion::kNoOrbit);
  }
  SatelliteState other = *here;
  const double apart_s = (sent_there - sent_here).s;
  if (std::abs(apart_s) < kSameStateS) {
    other.position_m = here->position_m + apart_s * here->velocity_mps;
  } else {
    const auto there = orbits_.state(s.sat, sent_there);
    if (!there) {
      return exclude(s, Exclusion::kNoOrbit);
    }
    other = *there;
  }
  if (!here_.look(s.sat, *here) || !there_.look(s.sat, other)) {
    return exclude(s, Exclusion::kBelowMask);
  }
  if (far_ && here->centre_of_mass && !here_.knows(s.sat, sent_here)) {
    return exclude(s, Exclusion::kNoAntenna);
  }
  s.to_satellite = here_.sight().unit;
  s.azimuth_rad = static_cast<float>(here_.azimuth_rad());
  s.elevation_rad = static_cast<float>(
      std::min(here_.elevation_rad(), there_.elevation_rad()));
  s.wet_here = static_cast<float>(here_.wet_mapping());
  s.wet_there = static_cast<float>(there_.wet_mapping());
  const double common_m =
      here_.common_m(*here, far_) - there_.common_m(other, far_);
  double turn_cyc = 0;
  if (far_ && !options_.without.has(Term::kWindUp)) {
    turn_cyc = here_.turn_cyc(s.sat, *here, sent_here) -
               there_.turn_cyc(s.sat, other, sent_there);
  }
  for (TieRow& r : rows) {
    const TieGroup& g = session_.groups[r.group];
    const double antenna_m =
        here_.antenna_m(s.sat, *here, sent_here, g.here, r.wavelength_m, far_) -
        there_.antenna_m(
            s.sat, other, sent_there, g.there, r.wavelength_m, far_);
    const double computed_m = common_m + antenna_m;
    r.flags = 0;
    r.phase_m = r.phase_here_m - r.phase_there_m - computed_m -
                turn_cyc * r.wavelength_m;
    r.code_m = alike_codes_ || s.sat.system != System::kGlonass
                   ? r.code_here_m - r.code_there_m - computed_m
                   : kMissing;
  }
  return true;
}

// A code so far from the others of its group at the epoch is no code.
void TieModel::drop_wild(const TieEpoch& epoch) {
  constexpr double kWildM = 200;
  for (std::size_t g = 0; g < session_.groups.size(); ++g) {
    codes_.clear();
    const auto each = [&](auto&& use) {
      for (const TieSight& s : session_.sights_of(epoch)) {
        for (TieRow& r : session_.rows_of(s)) {
          if (s.modelled && r.group == g && r.has_code()) {
            use(r);
          }
        }
      }
    };
    each([&](const TieRow& r) { codes_.push_back(r.code_m); });
    if (codes_.empty()) {
      continue;
    }
    const double middle_m = math::median_in_place(codes_);
    each([&](TieRow& r) {
      if (std::abs(r.code_m - middle_m) > kWildM) {
        r.code_m = kMissing;
      }
    });
  }
}

void TieModel::run() {
  for (TieEpoch& epoch : session_.epochs) {
    const GnssTime t = epoch.time;
    const bool ready = epoch.count > 0 && here_.prepare(t) && there_.prepare(t);
    for (TieSight& s : session_.sights_of(epoch)) {
      s.modelled = ready && sight(s, epoch);
    }
    drop_wild(epoch);
  }
}

TieModelLog TieModel::log() const {
  TieModelLog log;
  log.here = here_.antennas().receiver();
  log.there = there_.antennas().receiver();
  log.here_stand_in = here_.antennas().receiver_stand_in();
  log.there_stand_in = there_.antennas().receiver_stand_in();
  log.other_bands =
      here_.antennas().other_bands() || there_.antennas().other_bands();
  log.zenith_delay_m = here_.zenith_m();
  return log;
}

}  // namespace

TieModelLog compute_tie(const OrbitSource& orbits,
                        const TieOptions& options,
                        TieSession& session,
                        Counts& counts) {
  TieModel model(orbits, options, session, counts);
  model.run();
  return model.log();
}

}  // namespace stillpoint::solve
