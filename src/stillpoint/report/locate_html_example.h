// Test support: a day as a phase solution would tell it, without one.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "stillpoint/report/locate_context.h"
#include "stillpoint/solve/ppp_series.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {

// The same numbers on every machine, between -1 and 1 and mostly near zero.
class ExampleNoise {
 public:
  double next() {
    double sum = 0;
    for (int i = 0; i < 3; ++i) {
      state_ = state_ * 1'664'525U + 1'013'904'223U;
      sum += static_cast<double>(state_ >> 8U) / 16'777'216.0 - 0.5;
    }
    return sum / 1.5;
  }

 private:
  std::uint32_t state_ = 7;
};

inline GnssTime example_first() {
  return *parse_time("2024-11-23T00:00:00Z");
}

inline solve::Solution example_solution() {
  solve::Solution s;
  s.status = solve::SolveStatus::kConverged;
  s.why = "settled";
  FramedPosition p;
  p.ecef = to_ecef({0.8255, 0.1553, 512.0});
  p.frame.name = "IGS20";
  p.epoch = example_first() + Duration{43'185};
  s.position = p;
  s.sigma_enu_m = {0.0021, 0.0018, 0.0153};
  s.sigma_without_calibration_enu_m = {0.0013, 0.0012, 0.0042};
  s.first = example_first();
  s.last = example_first() + Duration{86'370};
  s.counts.epochs = s.counts.epochs_seen = 2880;
  s.counts.observations = 86'000;
  s.counts.rejected = 400;
  s.counts.satellites = {{System::kGps, 15}, {System::kGalileo, 15}};
  s.counts.excluded[{System::kGlonass, 14}][0] = 731;
  s.warnings.push_back({"leap_table_expired",
                        "The table of leap seconds is older than the data.",
                        std::nullopt});
  s.warnings.push_back({"antenna_uncalibrated",
                        "The antenna's calibration is not known; heights take "
                        "its phase centre for a point.",
                        0.031});
  return s;
}

inline LocateContext example_context() {
  LocateContext c;
  c.method = "ppp";
  c.marker_name = "LHOL00XXX";
  c.antenna_type = "SPDEMO-A1       NONE";
  c.antenna_delta_enu_m = {0, 0, 0.1234};
  c.precise_orbits = true;
  c.without = {"ocean-loading"};
  c.inputs.push_back(
      {"day/LHOL00XXX_R_20243280000_01D_30S_MO.rnx", std::string(64, 'a')});
  c.inputs.push_back({"orbits.sp3", std::string(64, '7')});
  c.version = "test";
  return c;
}

// 15 satellites each of GPS and Galileo. always_up: at every epoch, for the
// size of the page; else in passes, for its looks.
inline solve::PppSeries example_series(bool always_up) {
  constexpr double kTurn = 2 * std::numbers::pi;
  solve::PppSeries out;
  ExampleNoise noise;
  for (int epoch = 0; epoch < 2880; ++epoch) {
    const GnssTime t = example_first() + Duration{epoch * 30.0};
    for (int i = 0; i < 30; ++i) {
      const double phase = kTurn * (epoch / 1440.0 + i / 30.0);
      const double height =
          always_up ? 0.85 + 0.7 * std::sin(phase) : 1.45 * std::sin(phase);
      if (height < 0.12) {
        continue;
      }
      const double weight = 1 / std::sin(height);
      const double azimuth = std::fmod(kTurn * i / 11 + phase, kTurn);
      solve::ResidualPoint r;
      r.time = t;
      r.sat = {i % 2 == 0 ? System::kGps : System::kGalileo,
               static_cast<std::uint8_t>(i / 2 + 1)};
      r.used = epoch * 31 % 211 != i;
      const double wave = 0.002 * std::sin(9 * height) * std::cos(azimuth);
      r.phase_m = static_cast<float>(wave + 0.006 * weight * noise.next() *
                                                (r.used ? 1 : 5));
      r.code_m = static_cast<float>(0.5 * weight * noise.next());
      r.azimuth_rad = static_cast<float>(azimuth);
      r.elevation_rad = static_cast<float>(height);
      out.residuals.push_back(r);
    }
    if (epoch % 10 == 0) {
      const double day = epoch / 2880.0;
      out.zenith.push_back(
          {t,
           2.31 + 0.03 * std::sin(5 * day) + 0.003 * noise.next(),
           0.003 + 0.004 * std::exp(-20 * day),
           0.0006 * std::sin(7 * day),
           -0.0004 + 0.0005 * std::cos(4 * day)});
    }
    if (epoch % 120 == 119) {
      const double hours = (epoch + 1) / 120.0;
      const double size = 0.25 * std::exp(-hours / 1.1) + 0.012 / hours;
      const double left = (24 - hours) / 24;
      out.growth.push_back({t,
                            {size * left,
                             -0.6 * size * left * std::cos(hours),
                             2 * size * left * std::sin(hours)},
                            {size, 0.8 * size, 2 * size}});
    }
  }
  return out;
}

}  // namespace stillpoint::report
