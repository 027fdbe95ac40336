// An hour of code ranges from 24 invented orbits, located.
//
// A self-contained walk through the idea behind `locate`: make up satellites,
// let a receiver at a known place measure them for an hour, forget the place,
// and find it again by weighted least squares. Everything is simulated.
// Exit status: 0 when the truth is within three sigma of the answer, else 1.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <random>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/models/earth_rotation.h"
#include "stillpoint/models/troposphere.h"

namespace {

using stillpoint::Ecef;
using stillpoint::Enu;
using stillpoint::Geodetic;
using stillpoint::GnssTime;
using stillpoint::kSpeedOfLightMps;
using stillpoint::models::TroposphereModel;

constexpr double kPi = std::numbers::pi;
constexpr double kDeg = kPi / 180;
constexpr int kEpochs = 120;
constexpr double kIntervalS = 30;
constexpr double kMaskRad = 7 * kDeg;
constexpr double kOrbitM = 26'560e3;
// The demo's place: a seed store in a valley of an invented country.
constexpr Geodetic kTruth{47.3 * kDeg, 8.9 * kDeg, 512};
// A priori uncertainty of the zenith delay [m]: weather is not its mean.
constexpr double kZenithSigmaM = 0.05;

GnssTime start_of_hour() {
  return GnssTime::from_gps_week(2342, 3 * 86'400 + 12 * 3600);
}

// --- The sky -----------------------------------------------------------

// Satellite `index` (0 .. 23) in axes that do not turn and that meet the
// Earth-fixed ones at time 0 [m].
Ecef inertial_position(int index, double t_s) {
  constexpr double kGmM3PerS2 = 3.986004418e14;
  const int plane = index / 4;
  const double rate = std::sqrt(kGmM3PerS2 / (kOrbitM * kOrbitM * kOrbitM));
  const double along = (90 * (index % 4) + 35 * plane) * kDeg + rate * t_s;
  const double node = 60 * plane * kDeg;
  const double tilt = 55 * kDeg;
  const double in_plane = kOrbitM * std::cos(along);
  const double across = kOrbitM * std::sin(along) * std::cos(tilt);
  return {in_plane * std::cos(node) - across * std::sin(node),
          in_plane * std::sin(node) + across * std::cos(node),
          kOrbitM * std::sin(along) * std::sin(tilt)};
}

// The same satellite as an ephemeris would give it: Earth-fixed axes of t_s.
Ecef satellite_position(int index, double t_s) {
  return stillpoint::models::rotate_with_earth(inertial_position(index, t_s),
                                               t_s);
}

// Noise of one code range [m]: larger where the signal comes in low.
double noise_sigma_m(double elevation_rad) {
  return 0.3 + 0.25 / std::sin(std::max(elevation_rad, kMaskRad));
}

// --- The receiver ------------------------------------------------------

struct Range {
  int satellite = 0;
  double code_m = 0;
};

struct Epoch {
  double tag_s = 0;  // by the receiver's own clock, which is wrong
  std::vector<Range> ranges;
};

// Normal deviates by Box and Muller: the same on every machine, which the
// library's distribution does not promise.
class Noise {
 public:
  explicit Noise(unsigned long seed) : engine_(seed) {}
  double next() {
    const double radius = std::sqrt(-2 * std::log(uniform()));
    return radius * std::cos(2 * kPi * uniform());
  }

 private:
  double uniform() {
    return (static_cast<double>(engine_() >> 11) + 0.5) / 9007199254740992.0;
  }
  std::mt19937_64 engine_;
};

double elevation_rad(const Ecef& receiver, const Ecef& satellite) {
  const auto enu_R_ecef = stillpoint::enu_R_ecef(to_geodetic(receiver));
  return azimuth_elevation(enu_R_ecef, satellite - receiver).elevation_rad;
}

// What the receiver measures: range along the straight path in non-turning
// axes, air, its clock, noise. The air differs from the season's mean by an
// amount that the solution does not know.
std::vector<Epoch> measure(const TroposphereModel& air, Noise& noise) {
  const Ecef fixed = to_ecef(kTruth);
  const double zenith_error_m = kZenithSigmaM * noise.next();
  std::vector<Epoch> epochs;
  for (int i = 0; i < kEpochs; ++i) {
    const double t_s = i * kIntervalS;
    const double clock_s = 0.35e-3 + 2e-7 * t_s;
    const Ecef receiver = stillpoint::models::rotate_with_earth(fixed, -t_s);
    Epoch epoch{t_s + clock_s, {}};
    for (int satellite = 0; satellite < 24; ++satellite) {
      double flight_s = 0.075;
      Ecef sent_from;
      for (int pass = 0; pass < 4; ++pass) {
        sent_from = inertial_position(satellite, t_s - flight_s);
        flight_s = norm(sent_from - receiver) / kSpeedOfLightMps;
      }
      const double elevation = elevation_rad(
          fixed, stillpoint::models::rotate_with_earth(sent_from, t_s));
      if (elevation < kMaskRad) {
        continue;
      }
      const double air_m =
          air.slant_m(elevation) + zenith_error_m * air.mapping(elevation).wet;
      epoch.ranges.push_back({satellite,
                              kSpeedOfLightMps * (flight_s + clock_s) + air_m +
                                  noise_sigma_m(elevation) * noise.next()});
    }
    epochs.push_back(std::move(epoch));
  }
  return epochs;
}

// --- The solution ------------------------------------------------------

// One epoch linearised. design: n x 4, columns dX dY dZ (m/m) and the factor
// of the zenith delay; the clock's column is all ones and kept apart.
struct Linearised {
  Eigen::MatrixX4d design;
  Eigen::VectorXd misfit_m, weight;
};

Linearised linearise(const Epoch& epoch, const Ecef& at, double zenith_m) {
  const auto air = TroposphereModel::at(to_geodetic(at), start_of_hour());
  const auto n = static_cast<Eigen::Index>(epoch.ranges.size());
  Linearised l{Eigen::MatrixX4d(n, 4), Eigen::VectorXd(n), Eigen::VectorXd(n)};
  for (Eigen::Index i = 0; i < n; ++i) {
    const Range& r = epoch.ranges[static_cast<std::size_t>(i)];
    // The receiver's clock is in both terms and drops out: this is when the
    // satellite sent the signal, by the satellite's own clock.
    const double sent_s = epoch.tag_s - r.code_m / kSpeedOfLightMps;
    const Ecef sent_from = satellite_position(r.satellite, sent_s);
    double flight_s = norm(sent_from - at) / kSpeedOfLightMps;
    Ecef seen_at = stillpoint::models::rotate_with_earth(sent_from, flight_s);
    flight_s = norm(seen_at - at) / kSpeedOfLightMps;
    seen_at = stillpoint::models::rotate_with_earth(sent_from, flight_s);
    const double range_m = norm(seen_at - at);
    const double elevation = elevation_rad(at, seen_at);
    // Far from the ground (first steps) there is no air model yet.
    const double factor = air ? air->mapping(elevation).wet : 0;
    const double air_m = air ? air->slant_m(elevation) + factor * zenith_m : 0;
    l.design.row(i) << (at.x_m - seen_at.x_m) / range_m,
        (at.y_m - seen_at.y_m) / range_m, (at.z_m - seen_at.z_m) / range_m,
        factor;
    l.misfit_m(i) = r.code_m - range_m - air_m;
    l.weight(i) = std::pow(noise_sigma_m(elevation), -2);
  }
  return l;
}

struct Answer {
  Ecef position;
  double zenith_m = 0;          // correction of the a priori zenith delay
  Eigen::Matrix4d covariance;   // X Y Z zenith [m^2]
  double misfit_per_sigma = 0;  // 1 when the noise is as assumed
};

// Weighted least squares over any number of epochs: one place, one zenith
// delay, one clock per epoch. The clocks are eliminated epoch by epoch, so
// that the system never has more than four unknowns.
std::optional<Answer> solve(const std::vector<Epoch>& epochs, Ecef start) {
  Answer a{start, 0, Eigen::Matrix4d::Zero(), 0};
  for (int step = 0; step < 10; ++step) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    normal(3, 3) = std::pow(kZenithSigmaM, -2);  // the weather's prior
    right(3) = -a.zenith_m * normal(3, 3);
    double square_sum = a.zenith_m * a.zenith_m * normal(3, 3);
    double redundancy = -3;  // three coordinates; the prior pays for zenith
    for (const Epoch& epoch : epochs) {
      Linearised l = linearise(epoch, a.position, a.zenith_m);
      // Taking off the weighted mean of each column is what eliminating the
      // epoch's clock comes to.
      const double total = l.weight.sum();
      const Eigen::RowVector4d mean = l.weight.transpose() * l.design / total;
      l.design.rowwise() -= mean;
      l.misfit_m.array() -= l.weight.dot(l.misfit_m) / total;
      normal += l.design.transpose() * l.weight.asDiagonal() * l.design;
      right += l.design.transpose() * l.weight.asDiagonal() * l.misfit_m;
      square_sum += l.weight.dot(l.misfit_m.cwiseAbs2());
      redundancy += static_cast<double>(epoch.ranges.size()) - 1;
    }
    const Eigen::LDLT<Eigen::Matrix4d> factor(normal);
    const Eigen::Vector4d change = factor.solve(right);
    a.position = a.position + Ecef{change(0), change(1), change(2)};
    a.zenith_m += change(3);
    if (change.norm() < 1e-4) {
      a.covariance = factor.solve(Eigen::Matrix4d::Identity());
      a.misfit_per_sigma = std::sqrt(square_sum / std::max(1.0, redundancy));
      return a;
    }
  }
  return std::nullopt;
}

// A first guess without any knowledge: the ground below the middle of the
// satellites that are seen.
Ecef first_guess(const Epoch& epoch) {
  Ecef sum;
  for (const Range& r : epoch.ranges) {
    sum = sum + satellite_position(r.satellite, epoch.tag_s);
  }
  return (6371e3 / norm(sum)) * sum;
}

Enu sigma_enu(const Answer& a) {
  const Eigen::Matrix3d c = a.covariance.topLeftCorner<3, 3>();
  stillpoint::Cov3 ecef{};  // symmetric, so that the order does not matter
  std::copy(c.data(), c.data() + 9, ecef.begin());
  const auto enu = stillpoint::covariance_to_enu(
      stillpoint::enu_R_ecef(to_geodetic(a.position)), ecef);
  return {std::sqrt(enu[0]), std::sqrt(enu[4]), std::sqrt(enu[8])};
}

double median(std::vector<double> values) {
  const auto middle =
      values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// --- The story ---------------------------------------------------------

void tell_the_setting(const std::vector<Epoch>& epochs,
                      const TroposphereModel& air) {
  std::size_t fewest = 24;
  std::size_t most = 0;
  std::size_t total = 0;
  for (const Epoch& e : epochs) {
    fewest = std::min(fewest, e.ranges.size());
    most = std::max(most, e.ranges.size());
    total += e.ranges.size();
  }
  std::printf(
      "Stillpoint, worked example: where is the antenna?\n"
      "(Simulated: the satellites, the receiver and the place are "
      "invented.)\n\n"
      "What was done\n"
      "  24 satellites go round on circles of 26,560 km radius, in 6 planes "
      "of 4.\n"
      "  A receiver at 47.3 N 8.9 E, 512 m, measured how far away they are: "
      "every\n"
      "  30 s for an hour, %zu epochs with %zu to %zu satellites above 7 "
      "degrees,\n"
      "  %zu code ranges in all. In each range there are\n"
      "    the receiver's clock, wrong by 0.35 ms    105 km of range\n"
      "    the Earth's turn while the signal flies   up to 30 m\n"
      "    the air                                   %.1f m (above) to %.0f m "
      "(low)\n"
      "    noise                                     %.2f m (above) to %.1f m "
      "(low)\n"
      "  Then the place was forgotten and found again from the ranges "
      "alone.\n\n",
      epochs.size(),
      fewest,
      most,
      total,
      air.slant_m(kPi / 2),
      air.slant_m(kMaskRad),
      noise_sigma_m(kPi / 2),
      noise_sigma_m(kMaskRad));
}

void tell_the_answer(const Answer& hour,
                     const Enu& error,
                     const Enu& sigma,
                     const std::vector<Enu>& each) {
  const Geodetic g = to_geodetic(hour.position);
  std::vector<double> east;
  std::vector<double> north;
  std::vector<double> up;
  for (const Enu& e : each) {
    east.push_back(std::abs(e.e_m));
    north.push_back(std::abs(e.n_m));
    up.push_back(std::abs(e.u_m));
  }
  std::printf(
      "Where it says the antenna is\n"
      "  latitude %.7f deg, longitude %.7f deg, height %.2f m\n"
      "  X %.2f  Y %.2f  Z %.2f m\n"
      "  scatter of the ranges: %.2f of what was assumed\n\n",
      g.lat_rad / kDeg,
      g.lon_rad / kDeg,
      g.height_m,
      hour.position.x_m,
      hour.position.y_m,
      hour.position.z_m,
      hour.misfit_per_sigma);
  std::printf(
      "How far that is from the truth, in metres\n"
      "                                   east   north      up\n"
      "  one epoch alone, median error  %6.2f  %6.2f  %6.2f\n"
      "  the whole hour, error          %+6.2f  %+6.2f  %+6.2f\n"
      "  the whole hour, one sigma      %6.2f  %6.2f  %6.2f\n\n",
      median(east),
      median(north),
      median(up),
      error.e_m,
      error.n_m,
      error.u_m,
      sigma.e_m,
      sigma.n_m,
      sigma.u_m);
}

void tell_what_next(bool inside) {
  std::printf(
      "%s\n\n"
      "What this leaves out: real orbits and clocks are off by a metre, the\n"
      "ionosphere adds metres, reflections do not average out. Expect metres\n"
      "from a real hour of code; millimetres take the carrier phase.\n\n"
      "What to do next\n"
      "  scripts/run locate OBS --nav NAV              your own file, by code\n"
      "  scripts/run locate OBS --orbits F             with precise orbits\n",
      inside ? "The truth lies within three sigma of the answer, in all three "
               "directions."
             : "The truth is more than three sigma away: something is wrong.");
}

}  // namespace

int main(int argc, char** argv) {
  // Another seed is another hour of noise and weather.
  Noise noise(argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 8);
  const auto air = TroposphereModel::at(kTruth, start_of_hour());
  if (!air) {
    std::fprintf(stderr, "%s\n", air.error().text().c_str());
    return 1;
  }
  const std::vector<Epoch> epochs = measure(*air, noise);
  tell_the_setting(epochs, *air);

  const Ecef truth = to_ecef(kTruth);
  std::vector<Enu> errors;
  Ecef guess = first_guess(epochs.front());
  for (const Epoch& epoch : epochs) {
    if (const auto one = solve({epoch}, guess)) {
      errors.push_back(to_enu(one->position, truth));
      guess = one->position;
    }
  }
  const auto hour = solve(epochs, guess);
  if (!hour || errors.size() != epochs.size()) {
    std::printf("The solution did not converge.\n");
    return 1;
  }
  const Enu error = to_enu(hour->position, truth);
  const Enu sigma = sigma_enu(*hour);
  const bool inside = std::abs(error.e_m) < 3 * sigma.e_m &&
                      std::abs(error.n_m) < 3 * sigma.n_m &&
                      std::abs(error.u_m) < 3 * sigma.u_m;
  tell_the_answer(*hour, error, sigma, errors);
  tell_what_next(inside);
  return inside ? 0 : 1;
}
