// Growth and residuals of a tie, for pictures.
#include <algorithm>
#include <cmath>

#include "stillpoint/solve/covariance_arrays.h"
#include "stillpoint/solve/tie_state.h"

namespace stillpoint::solve {

void fill_series(TieSolver::State& s) {
  const Mat3 enu = enu_R_ecef(to_geodetic(s.session.reference_m));
  const auto formal = variances_enu(enu, s.floating.formal_m2);
  const auto honest = variances_enu(enu, s.covariance_m2);
  for (const TieMilestone& m : s.floating.milestones) {
    GrowthPoint point;
    point.time = s.session.epochs[m.epoch].time;
    const Eigen::Vector3d off = m.dx_m - s.estimate.dx_m;
    point.from_final_m = rotate(enu, Ecef{off.x(), off.y(), off.z()});
    const auto variance = variances_enu(enu, m.formal_m2);
    for (std::size_t i = 0; i < 3; ++i) {
      point.sigma_enu_m[i] =
          std::sqrt(variance[i] * std::max(1.0, honest[i] / formal[i]));
    }
    s.series.growth.push_back(point);
  }
  for (const TieEpoch& epoch : s.session.epochs) {
    for (const TieSight& sight : s.session.sights_of(epoch)) {
      const auto rows = s.session.rows_of(sight);
      if (!sight.modelled || rows.empty() ||
          !std::isfinite(rows.front().phase_residual_m)) {
        continue;
      }
      const TieRow& r = rows.front();
      s.series.residuals.push_back({epoch.time,
                                    sight.sat,
                                    r.phase_residual_m,
                                    r.code_residual_m,
                                    sight.azimuth_rad,
                                    sight.elevation_rad,
                                    r.phase_used()});
    }
  }
}

}  // namespace stillpoint::solve
