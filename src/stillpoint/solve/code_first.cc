// Where on Earth: a position from one epoch, starting at the Earth's centre.
#include <cmath>

#include "stillpoint/solve/code_state.h"

namespace stillpoint::solve {
namespace {

constexpr int kMaxSteps = 12;
constexpr double kLowestM = 6.3e6, kHighestM = 6.4e6;

}  // namespace

std::optional<Ecef> first_position(
    const std::vector<CodeMeasurement>& measurements,
    GnssTime time,
    const CodeOptions& options,
    const CodeSession& groups) {
  CodeSession session;
  session.groups = groups.groups;
  SiteAtmosphere atmosphere;
  Counts unused;
  MeasureLog log{.counts = &unused};
  ErrorModel model;
  model.noise_factor.fill(3.0);
  for (int step = 0; step < kMaxSteps; ++step) {
    session.rows.clear();
    session.epochs.clear();
    linearise(measurements, time, options, atmosphere, session, log);
    // Outliers are looked for once the geometry is near the truth.
    const bool near = step >= 6;
    const auto fix = solve_epoch(session, session.rows, model, 0, near);
    if (!fix) {
      return std::nullopt;
    }
    session.reference =
        session.reference + Ecef{fix->dx_m.x(), fix->dx_m.y(), fix->dx_m.z()};
    if (!std::isfinite(norm(session.reference)) ||
        norm(session.reference) > 1e8) {
      return std::nullopt;
    }
    if (near && fix->dx_m.norm() < 1) {
      const double radius_m = norm(session.reference);
      const bool on_earth = radius_m > kLowestM && radius_m < kHighestM;
      return on_earth ? std::optional(session.reference) : std::nullopt;
    }
  }
  return std::nullopt;
}

}  // namespace stillpoint::solve
