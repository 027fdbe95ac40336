#include "geometry.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

namespace integer_thresholds {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::RowVectorXd;
using Eigen::VectorXd;

constexpr double kTurn = 2 * std::numbers::pi;
// Carriers of the open standards: 1575.42, 1227.60, 1176.45 MHz.
constexpr std::array kWaveM = {0.190294, 0.244210, 0.254828};
constexpr double kNarrowM = 0.106953;  // ionosphere-free, wide lane known

// A satellite passes in a straight line over the sky; good enough for shapes.
struct Satellite {
  double azimuth, elevation, azimuth_rate, elevation_rate;

  explicit Satellite(Random& random)
      : azimuth(uniform(random, 0, kTurn)),
        elevation(std::asin(uniform(random, 0.17, 1))),
        azimuth_rate(uniform(random, -1.5e-4, 1.5e-4)),
        elevation_rate(uniform(random, -1e-4, 1e-4)) {}

  [[nodiscard]] double elevation_at(double t_s) const {
    return std::clamp(elevation + elevation_rate * t_s, 0.12, 1.57);
  }
  // East, north, up, zenith delay.
  [[nodiscard]] Eigen::RowVector4d partials(double t_s) const {
    const double e = elevation_at(t_s);
    const double a = azimuth + azimuth_rate * t_s;
    return {-std::cos(e) * std::sin(a),
            -std::cos(e) * std::cos(a),
            -std::sin(e),
            1 / std::sin(e)};
  }
};

// Sum of normal equations; what belongs to one epoch is taken out of it.
class Normals {
 public:
  Normals(Index kept, Index own)
      : kept_(kept), own_(own), all_(MatrixXd::Zero(kept, kept)) {
    begin();
  }

  void begin() { epoch_ = MatrixXd::Zero(kept_ + own_, kept_ + own_); }
  void add(const RowVectorXd& row, double sigma) {
    epoch_ += row.transpose() * row / (sigma * sigma);
  }
  void end() {
    const auto cross = epoch_.topRightCorner(kept_, own_);
    MatrixXd own = epoch_.bottomRightCorner(own_, own_);
    own.diagonal().array() += 1e-9;
    all_ += epoch_.topLeftCorner(kept_, kept_) -
            cross * own.ldlt().solve(cross.transpose());
    begin();
  }
  void add_prior(Index k, double sigma) { all_(k, k) += 1 / (sigma * sigma); }

  // Of the last n of what is kept.
  [[nodiscard]] MatrixXd covariance_of_last(Index n) const {
    const MatrixXd inverse =
        all_.ldlt().solve(MatrixXd::Identity(kept_, kept_));
    const MatrixXd corner = inverse.bottomRightCorner(n, n);
    return (corner + corner.transpose()) / 2;
  }

 private:
  Index kept_, own_;
  MatrixXd all_, epoch_;
};

constexpr Index kSite = 4;  // position and zenith delay

}  // namespace

double uniform(Random& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

int whole(Random& random, int low, int high) {
  return std::uniform_int_distribution<int>(low, high)(random);
}

VectorXd normals(Random& random, Index n) {
  std::normal_distribution<double> normal;
  VectorXd values(n);
  for (double& value : values) {
    value = normal(random);
  }
  return values;
}

MatrixXd baseline(Random& random, int n) {
  std::vector<int> possible;
  for (int f = 1; f <= 3; ++f) {
    if (n % f == 0 && n / f >= 3) {
      possible.push_back(f);
    }
  }
  const int frequencies =
      possible.empty()
          ? 1
          : possible[static_cast<std::size_t>(
                whole(random, 0, static_cast<int>(possible.size()) - 1))];
  const int others = n / frequencies;  // satellites besides the reference
  std::vector<Satellite> sky;
  for (int s = 0; s <= others; ++s) {
    sky.emplace_back(random);
  }
  const int epochs = whole(random, 1, 30);
  const double step_s = std::pow(10.0, uniform(random, 0, 2.5));
  const double ionosphere_m = std::pow(10.0, uniform(random, -3, 1));
  const double code_m = std::pow(10.0, uniform(random, -0.8, 0.3));
  const double phase_m = std::pow(10.0, uniform(random, -2.7, -2));
  // Of an epoch: clocks of code and phase a frequency, ionosphere a satellite.
  const Index clocks = kSite + n;
  const Index delays = clocks + Index{2} * frequencies;
  const Index width = delays + others + 1;
  Normals equations(kSite + n, width - kSite - n);
  for (int t = 0; t < epochs; ++t) {
    for (int s = 0; s <= others; ++s) {
      const Satellite& satellite = sky[static_cast<std::size_t>(s)];
      const double noise = 1 / std::sin(satellite.elevation_at(t * step_s));
      for (int f = 0; f < frequencies; ++f) {
        const double wave_m = kWaveM[static_cast<std::size_t>(f)];
        const double delay = std::pow(wave_m / kWaveM[0], 2);
        RowVectorXd row = RowVectorXd::Zero(width);
        row.head(kSite) = satellite.partials(t * step_s);
        row(clocks + Index{2} * f) = 1;
        row(delays + s) = delay;
        equations.add(row, code_m * noise);
        row(clocks + Index{2} * f) = 0;
        row(clocks + Index{2} * f + 1) = 1;
        row(delays + s) = -delay;
        if (s > 0) {
          row(kSite + Index{f} * others + s - 1) = wave_m;
        }
        equations.add(row, phase_m * noise);
      }
      RowVectorXd bound = RowVectorXd::Zero(width);
      bound(delays + s) = 1;
      equations.add(bound, ionosphere_m);
    }
    equations.end();
  }
  for (Index k = 0; k < kSite; ++k) {
    equations.add_prior(k, k < 3 ? 100 : 0.1);
  }
  return equations.covariance_of_last(n);
}

MatrixXd station_arcs(Random& random, int n) {
  const double hours = uniform(random, 0.5, 12);
  const double step_s = 300;
  const int epochs = static_cast<int>(hours * 3600 / step_s);
  struct Arc {
    Satellite satellite;
    double begin_s, end_s;
  };
  std::vector<Arc> arcs;
  const double all_s = hours * 3600;
  for (int a = 0; a <= n; ++a) {
    const double length_s = uniform(random, 0.2, 1) * all_s;
    // The first is what the others refer to: there from begin to end.
    const double begin_s = a == 0 ? 0 : uniform(random, 0, all_s - length_s);
    arcs.push_back(
        {Satellite(random), begin_s, a == 0 ? all_s : begin_s + length_s});
  }
  const double code_m = std::pow(10.0, uniform(random, -0.3, 0.7));
  const double phase_m = std::pow(10.0, uniform(random, -2.3, -1.5));
  Normals equations(kSite + n, 1);
  for (int t = 0; t < epochs; ++t) {
    const double t_s = t * step_s;
    for (std::size_t a = 0; a < arcs.size(); ++a) {
      const Arc& arc = arcs[a];
      if (t_s < arc.begin_s || t_s > arc.end_s) {
        continue;
      }
      const double since_s = t_s - arc.begin_s;
      const double noise = 1 / std::sin(arc.satellite.elevation_at(since_s));
      RowVectorXd row = RowVectorXd::Zero(kSite + n + 1);
      row.head(kSite) = arc.satellite.partials(since_s);
      row(kSite + n) = 1;
      equations.add(row, code_m * noise);
      if (a > 0) {
        row(kSite + static_cast<Index>(a) - 1) = kNarrowM;
      }
      equations.add(row, phase_m * noise);
    }
    equations.end();
  }
  for (Index k = 0; k < kSite; ++k) {
    equations.add_prior(k, k < 3 ? 100 : 0.2);
  }
  for (Index k = 0; k < n; ++k) {
    equations.add_prior(kSite + k, 1e3);  // an arc between two epochs
  }
  return equations.covariance_of_last(n);
}

MatrixXd spectrum(Random& random, int n) {
  const MatrixXd raw = normals(random, Index{n} * n).reshaped(n, n);
  const MatrixXd axes = raw.householderQr().householderQ();
  const double decades = uniform(random, 0.5, 6);
  VectorXd variances(n);
  for (double& v : variances) {
    v = std::pow(10.0, uniform(random, -decades, 0));
  }
  return axes * variances.asDiagonal() * axes.transpose();
}

MatrixXd chain(Random& random, int n) {
  const double correlation = uniform(random, -0.6, 0.999);
  VectorXd sigma(n);
  for (double& s : sigma) {
    s = std::pow(10.0, uniform(random, -0.5, 0.5));
  }
  MatrixXd q(n, n);
  for (Index r = 0; r < n; ++r) {
    for (Index c = 0; c < n; ++c) {
      const auto far = static_cast<int>(std::abs(r - c));
      q(r, c) = sigma(r) * sigma(c) * std::pow(correlation, far);
    }
  }
  return q;
}

MatrixXd triangle(Random& random, int n) {
  MatrixXd l = MatrixXd::Identity(n, n);
  VectorXd d(n);
  const double reach = std::pow(10.0, uniform(random, -1, 0.5));
  const double decades = uniform(random, 0, 2);
  for (Index c = 0; c < n; ++c) {
    d(c) = std::pow(10.0, uniform(random, -decades, 0));
    for (Index r = c + 1; r < n; ++r) {
      l(r, c) = uniform(random, -reach, reach);
    }
  }
  return l.transpose() * d.asDiagonal() * l;
}

MatrixXd common(Random& random, int n) {
  const int weak = whole(random, 1, 4);
  const MatrixXd directions = normals(random, Index{n} * weak).reshaped(n, weak);
  const double size = std::pow(10.0, uniform(random, -1, 3));
  MatrixXd q = size * directions * directions.transpose();
  for (Index k = 0; k < n; ++k) {
    q(k, k) += uniform(random, 0.2, 2);
  }
  return q;
}

}  // namespace integer_thresholds
