#include "stillpoint/models/wind_up.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "stillpoint/models/steps_for_tests.h"

namespace stillpoint::models {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;

Ecef cross(const Ecef& a, const Ecef& b) {
  return {a.y_m * b.z_m - a.z_m * b.y_m,
          a.z_m * b.x_m - a.x_m * b.z_m,
          a.x_m * b.y_m - a.y_m * b.x_m};
}

// v turned about a unit vector (Rodrigues).
Ecef turned(const Ecef& v, const Ecef& about, double angle_rad) {
  return std::cos(angle_rad) * v + std::sin(angle_rad) * cross(about, v) +
         (dot(about, v) * (1 - std::cos(angle_rad))) * about;
}

BodyAxes turned(const BodyAxes& b, const Ecef& about, double angle_rad) {
  return {turned(b.x, about, angle_rad),
          turned(b.y, about, angle_rad),
          turned(b.z, about, angle_rad)};
}

Mat3 rows(const Ecef& e, const Ecef& n, const Ecef& u) {
  return {e.x_m, e.y_m, e.z_m, n.x_m, n.y_m, n.z_m, u.x_m, u.y_m, u.z_m};
}

struct Station {
  Geodetic at{0.82, 0.15, 500};
  Ecef receiver_m = to_ecef(at);
  Ecef east = rotate_back(enu_R_ecef(at), {.e_m = 1});
  Ecef north = rotate_back(enu_R_ecef(at), {.n_m = 1});
  Ecef up = rotate_back(enu_R_ecef(at), {.u_m = 1});
};

const Ecef kSun{1.2e11, -0.6e11, 0.5e11};

struct Satellite {
  Ecef position_m, velocity_mps;
  BodyAxes axes;
};

// One of a half-day orbit that rises over the station; Earth-fixed.
Satellite satellite_at(double time_s, YawHabit habit = YawHabit::kNominal) {
  constexpr double kRadiusM = 26.56e6;
  const auto position = [](double t) {
    const double u = 0.3 + 2 * kPi * t / 43'077;
    const Ecef in_plane{std::cos(u), std::sin(u), 0};
    const Ecef tilted = turned(in_plane, {1, 0, 0}, 55 * kDeg);
    return kRadiusM * turned(tilted, {0, 0, 1}, -0.4 - 7.2921151467e-5 * t);
  };
  Satellite s;
  s.position_m = position(time_s);
  s.velocity_mps = 0.5 * (position(time_s + 1) - position(time_s - 1));
  s.axes = satellite_axes(habit, s.position_m, s.velocity_mps, kSun);
  return s;
}

// kind: cross   source: definition: a turn of the antenna about the vertical,
// clockwise as seen from above, is one cycle whatever the elevation
// tolerance: 1e-12 cycles, rounding
TEST(WindUp, AFullTurnOfTheReceiverIsOneCycle) {
  const Station station;
  const Mat3 level = enu_R_ecef(station.at);
  for (const double hour : {0.2, 1.0, 2.0, 3.0}) {
    const Satellite s = satellite_at(hour * 3600);
    ASSERT_GT(dot(s.position_m - station.receiver_m, station.up), 0);
    const double first =
        wind_up_cyc(s.axes, s.position_m, station.receiver_m, level, 0);
    double wind_up = first;
    for (const double angle : steps(0, 360, 5)) {
      const Mat3 clockwise =
          rows(turned(station.east, station.up, -angle * kDeg),
               turned(station.north, station.up, -angle * kDeg),
               station.up);
      wind_up = wind_up_cyc(
          s.axes, s.position_m, station.receiver_m, clockwise, wind_up);
    }
    EXPECT_NEAR(wind_up, first + 1, 1e-12);
  }
}

// kind: cross   source: straight below the satellite the angle itself
// tolerance: 1e-9 cycles, rounding of a metre in 2e7
TEST(WindUp, StraightBelowItIsTheAngle) {
  const Geodetic at{0, 0, 0};
  const Ecef receiver_m = to_ecef(at);
  const Ecef satellite_m{26.56e6, 0, 0};
  // x north, so y west and z down.
  const BodyAxes north{{0, 0, 1}, {0, 1, 0}, {-1, 0, 0}};
  const double same =
      wind_up_cyc(north, satellite_m, receiver_m, enu_R_ecef(at), 0);
  for (const double angle : steps(-170, 170, 10)) {
    const BodyAxes b = turned(north, north.z, angle * kDeg);
    const double wind_up =
        wind_up_cyc(b, satellite_m, receiver_m, enu_R_ecef(at), same);
    // Turning from x to y delays nothing: the phase range shortens.
    EXPECT_NEAR(std::remainder(wind_up - same + angle / 360, 1), 0, 1e-9);
  }
}

// kind: cross   source: definition: from x to y, a full turn takes one cycle
// away
// tolerance: 1e-12 cycles, rounding
TEST(WindUp, AFullTurnOfTheSatelliteIsOneCycleTheOtherWay) {
  const Station station;
  const Mat3 level = enu_R_ecef(station.at);
  const Satellite s = satellite_at(3600);
  const double first =
      wind_up_cyc(s.axes, s.position_m, station.receiver_m, level, 0);
  double wind_up = first;
  for (const double angle : steps(0, 360, 5)) {
    const BodyAxes b = turned(s.axes, s.axes.z, angle * kDeg);
    wind_up = wind_up_cyc(b, s.position_m, station.receiver_m, level, wind_up);
  }
  EXPECT_NEAR(wind_up, first - 1, 1e-12);
}

// kind: cross   source: nothing depends on the axes
// tolerance: 1e-12 cycles, rounding
TEST(WindUp, ACommonRotationChangesNothing) {
  const Station station;
  const Satellite s = satellite_at(5000);
  const double plain = wind_up_cyc(
      s.axes, s.position_m, station.receiver_m, enu_R_ecef(station.at), 0);
  const Ecef about{0.48, -0.6, 0.64};
  for (const double angle : steps(0.3, 6, 0.7)) {
    const Mat3 level = rows(turned(station.east, about, angle),
                            turned(station.north, about, angle),
                            turned(station.up, about, angle));
    const double rotated = wind_up_cyc(turned(s.axes, about, angle),
                                       turned(s.position_m, about, angle),
                                       turned(station.receiver_m, about, angle),
                                       level,
                                       0);
    EXPECT_NEAR(rotated, plain, 1e-12);
  }
}

// Phase of the right-hand circular wave between two pairs of crossed dipoles,
// by complex amplitudes. The sender feeds y a quarter cycle late, so that the
// wave turns from x to y about the ray; the receiver undoes that for north and
// east, which lie the same way round as the ray goes down.
double received_phase_rad(const BodyAxes& axes,
                          const Ecef& k,
                          const Ecef& north,
                          const Ecef& east) {
  using Complex = std::complex<double>;
  const Complex quarter{0, 1};
  const Ecef side = cross(k, {0, 0, 1});
  const Ecef e1 = (1 / norm(side)) * side;
  const Ecef e2 = cross(k, e1);
  const auto circular = [&](const Ecef& dipole) {
    return Complex{dot(dipole, e1), -dot(dipole, e2)};
  };
  const Complex sent =
      std::conj(circular(axes.x)) - quarter * std::conj(circular(axes.y));
  const Complex picked = circular(north) + quarter * circular(east);
  return std::arg(sent * picked);
}

// kind: cross   source: received phase by complex amplitudes, unwrapped in
// steps of 1 s, over a pass with a noon or midnight turn in it or not; a phase
// that lags lengthens the phase range tolerance: 1e-9 cycles, rounding
TEST(WindUp, FollowsThePhaseOfCrossedDipolesOverAPass) {
  const Station station;
  const Mat3 level = enu_R_ecef(station.at);
  for (const YawHabit habit : {YawHabit::kNominal, YawHabit::kGpsIIR}) {
    double wind_up = 0;
    double phase_cyc = 0;
    double offset = 0;
    double largest_step = 0;
    bool begun = false;
    for (const double t : steps(0, 4 * 3600, 1)) {
      const Satellite s = satellite_at(t, habit);
      const Ecef ray = station.receiver_m - s.position_m;
      if (dot(ray, station.up) > 0) {
        break;
      }
      const Ecef k = (1 / norm(ray)) * ray;
      const double before = wind_up;
      wind_up =
          wind_up_cyc(s.axes, s.position_m, station.receiver_m, level, wind_up);
      const double phase =
          -received_phase_rad(s.axes, k, station.north, station.east) /
          (2 * kPi);
      phase_cyc = phase + std::round(phase_cyc - phase);
      if (!begun) {
        offset = wind_up - phase_cyc;
        begun = true;
      } else {
        largest_step = std::max(largest_step, std::abs(wind_up - before));
      }
      EXPECT_NEAR(wind_up - phase_cyc, offset, 1e-9) << t;
    }
    EXPECT_TRUE(begun);
    // 0.2 deg/s of yaw is 0.0006 cycles; the nominal turn may be faster.
    EXPECT_LT(largest_step, 0.01);
  }
}

TEST(WindUp, KeepsThePreviousValueWhereThereIsNoRay) {
  const Station station;
  const Satellite s = satellite_at(0);
  EXPECT_EQ(wind_up_cyc(s.axes,
                        station.receiver_m,
                        station.receiver_m,
                        enu_R_ecef(station.at),
                        3.25),
            3.25);
}

}  // namespace
}  // namespace stillpoint::models
