#include <algorithm>
#include <cmath>
#include <optional>

#include "stillpoint/models/beidou_code.h"
#include "stillpoint/models/earth_rotation.h"
#include "stillpoint/models/klobuchar.h"
#include "stillpoint/models/ntcm_g.h"
#include "stillpoint/models/relativity.h"
#include "stillpoint/solve/code_measure.h"

namespace stillpoint::solve {
namespace {

// One code at the zenith, one sigma: noise and multipath of a fixed antenna.
// Common practice (0.1 to 0.5 m), no source; every system's own level is
// estimated from the data afterwards.
constexpr double kZenithNoiseM = 0.15;
// Part of it that follows C/N0: 0.1 m at 45 dB-Hz. Common practice, no source.
constexpr double kCn0NoiseM = 0.1;
constexpr double kCn0ReferenceDbhz = 45;
// Vertical ionosphere where no model is at hand, one sigma on L1.
constexpr double kUnmodelledIonosphereM = 5;
constexpr double kSurfaceM = 6.2e6;

double code_noise_m(const CodeMeasurement& m,
                    double sin_elevation,
                    const TermSet& without) {
  double sigma = kZenithNoiseM;
  if (!without.has(Term::kElevationWeights)) {
    sigma /= std::max(sin_elevation, 0.05);
  }
  if (!without.has(Term::kCn0Weights) && is_present(m.cn0_dbhz)) {
    const double by_cn0 =
        kCn0NoiseM * std::pow(10, (kCn0ReferenceDbhz - m.cn0_dbhz) / 20);
    sigma = std::hypot(sigma, std::min(by_cn0, 30.0));
  }
  return std::hypot(sigma * m.noise_scale, static_cast<double>(m.bias_m));
}

// Broadcast model of the satellite's own system, else GPS's.
std::optional<double> modelled_ionosphere_m(const CodeMeasurement& m,
                                            const Geodetic& place,
                                            const AzEl& direction,
                                            GnssTime t,
                                            const IonosphereParameters& p) {
  if (m.sat.system == System::kGalileo && p.galileo) {
    return models::ntcm_g_delay_m(*p.galileo, place, direction, t, m.first_hz);
  }
  if (m.sat.system == System::kBeidou && p.beidou) {
    return models::beidou_klobuchar_delay_m(
        *p.beidou, place, direction, t, m.first_hz);
  }
  if (m.sat.system == System::kQzss && p.qzss) {
    return models::klobuchar_delay_m(*p.qzss, place, direction, t, m.first_hz);
  }
  if (p.gps) {
    return models::klobuchar_delay_m(*p.gps, place, direction, t, m.first_hz);
  }
  if (p.galileo) {
    return models::ntcm_g_delay_m(*p.galileo, place, direction, t, m.first_hz);
  }
  return std::nullopt;
}

double beidou_code_m(const CodeMeasurement& m, double elevation_rad) {
  return m.weight_first * models::beidou_code_correction_m(
                              m.sat, m.first_band, elevation_rad) +
         m.weight_second * models::beidou_code_correction_m(
                               m.sat, m.second_band, elevation_rad);
}

struct Geometry {
  double range_m = 0;
  Ecef unit;
};

Geometry geometry(const CodeMeasurement& m,
                  const Ecef& antenna,
                  const TermSet& without) {
  Ecef satellite = m.satellite_m;
  if (!without.has(Term::kEarthRotation)) {
    const double flight_s = norm(satellite - antenna) / kSpeedOfLightMps;
    satellite = models::rotate_with_earth(satellite, flight_s);
  }
  const Ecef line = satellite - antenna;
  const double range_m = norm(line);
  return {range_m, (1 / range_m) * line};
}

void count_mask(MeasureLog& log, SatId sat) {
  ++log.counts->excluded[sat][static_cast<std::size_t>(Exclusion::kBelowMask)];
}

}  // namespace

void SiteAtmosphere::prepare(const Ecef& site, GnssTime t) {
  const std::int64_t day = t.ns() / (86400 * GnssTime::kNsPerS);
  if (day == day_ && norm(site - site_) < 100) {
    return;
  }
  day_ = day;
  site_ = site;
  place_ = to_geodetic(site);
  enu_R_ecef_ = stillpoint::enu_R_ecef(place_);
  auto model = models::TroposphereModel::at(place_, t);
  if (model) {
    troposphere_ = *model;
  } else {
    troposphere_.reset();
  }
}

void linearise(const std::vector<CodeMeasurement>& measurements,
               GnssTime time,
               const CodeOptions& options,
               SiteAtmosphere& atmosphere,
               CodeSession& session,
               MeasureLog& log) {
  const Ecef& antenna = session.reference;
  const bool on_ground = norm(antenna) > kSurfaceM;
  if (on_ground) {
    atmosphere.prepare(antenna, time);
  }
  const bool with_air = on_ground && atmosphere.ready();
  CodeEpoch epoch{.time = time,
                  .first = static_cast<std::uint32_t>(session.rows.size())};
  double rough_clock_m = 0;
  for (const CodeMeasurement& m : measurements) {
    const Geometry g = geometry(m, antenna, options.without);
    double residual_m = m.range_m - g.range_m;
    CodeRow row;
    double sin_elevation = 1;
    if (with_air) {
      const AzEl direction = azimuth_elevation(atmosphere.enu_R_ecef(), g.unit);
      if (direction.elevation_rad < options.elevation_mask_rad) {
        count_mask(log, m.sat);
        continue;
      }
      sin_elevation = std::sin(direction.elevation_rad);
      const auto& troposphere = atmosphere.troposphere();
      const auto factors = troposphere.mapping(direction.elevation_rad);
      if (!options.without.has(Term::kTroposphere)) {
        residual_m -= troposphere.slant_m(factors);
      }
      if (m.sat.system == System::kBeidou &&
          !options.without.has(Term::kBeidouCode)) {
        residual_m += beidou_code_m(m, direction.elevation_rad);
      }
      row.zenith_factor = static_cast<float>(factors.wet);
      if (!options.without.has(Term::kShapiro)) {
        residual_m -= models::shapiro_delay_m(m.satellite_m, antenna);
      }
      if (m.one_frequency && !options.without.has(Term::kIonosphere)) {
        const auto delay_m = modelled_ionosphere_m(
            m, atmosphere.place(), direction, time, options.ionosphere);
        if (delay_m) {
          residual_m -= *delay_m;
          row.ionosphere_m = static_cast<float>(*delay_m);
        } else {
          row.ionosphere_m =
              static_cast<float>(kUnmodelledIonosphereM / sin_elevation);
          ++log.without_ionosphere_model;
        }
      }
    }
    if (session.rows.size() == epoch.first) {
      rough_clock_m = residual_m;
    }
    row.unit[0] = static_cast<float>(g.unit.x_m);
    row.unit[1] = static_cast<float>(g.unit.y_m);
    row.unit[2] = static_cast<float>(g.unit.z_m);
    row.residual_m = static_cast<float>(residual_m - rough_clock_m);
    row.noise_m =
        static_cast<float>(code_noise_m(m, sin_elevation, options.without));
    row.orbit_m = m.orbit_m;
    row.sat_index = static_cast<std::uint16_t>(m.sat.index());
    row.group = m.group;
    session.rows.push_back(row);
  }
  epoch.count = static_cast<std::uint16_t>(session.rows.size() - epoch.first);
  if (epoch.count > 0) {
    session.epochs.push_back(epoch);
  }
}

}  // namespace stillpoint::solve
