#include "stillpoint/simulate/nature/random.h"

#include <array>
#include <cmath>
#include <numbers>

namespace stillpoint::simulate {
namespace {

constexpr std::uint64_t kGolden = 0x9E37'79B9'7F4A'7C15U;

using Coefficients = std::array<double, 8>;

double polynomial(const Coefficients& c, double x) {
  double sum = c[7];
  for (int i = 6; i >= 0; --i) {
    sum = sum * x + c[static_cast<unsigned>(i)];
  }
  return sum;
}

// Natural logarithm by its series in (m - 1)/(m + 1), so that no machine's
// library has a say in the last bit.
double portable_log(double v) {
  int exponent = 0;
  double m = std::frexp(v, &exponent);  // exact
  if (m < 0.7071067811865476) {
    m *= 2;
    --exponent;
  }
  const double s = (m - 1) / (m + 1);
  const double s2 = s * s;
  double sum = 0;
  for (int n = 23; n >= 1; n -= 2) {
    sum = sum * s2 + 1.0 / n;
  }
  return exponent * std::numbers::ln2 + 2 * s * sum;
}

// Numerators and denominators of AS 241: the middle, the tails, the far tails.
constexpr Coefficients kA{3.3871328727963666080,
                          1.3314166789178437745e+2,
                          1.9715909503065514427e+3,
                          1.3731693765509461125e+4,
                          4.5921953931549871457e+4,
                          6.7265770927008700853e+4,
                          3.3430575583588128105e+4,
                          2.5090809287301226727e+3};
constexpr Coefficients kB{1.0,
                          4.2313330701600911252e+1,
                          6.8718700749205790830e+2,
                          5.3941960214247511077e+3,
                          2.1213794301586595867e+4,
                          3.9307895800092710610e+4,
                          2.8729085735721942674e+4,
                          5.2264952788528545610e+3};
constexpr Coefficients kC{1.42343711074968357734,
                          4.63033784615654529590,
                          5.76949722146069140550,
                          3.64784832476320460504,
                          1.27045825245236838258,
                          2.41780725177450611770e-1,
                          2.27238449892691845833e-2,
                          7.74545014278341407640e-4};
constexpr Coefficients kD{1.0,
                          2.05319162663775882187,
                          1.67638483018380384940,
                          6.89767334985100004550e-1,
                          1.48103976427480074590e-1,
                          1.51986665636164571966e-2,
                          5.47593808499534494600e-4,
                          1.05075007164441684324e-9};
constexpr Coefficients kE{6.65790464350110377720,
                          5.46378491116411436990,
                          1.78482653991729133580,
                          2.96560571828504891230e-1,
                          2.65321895265761230930e-2,
                          1.24266094738807843860e-3,
                          2.71155556874348757815e-5,
                          2.01033439929228813265e-7};
constexpr Coefficients kF{1.0,
                          5.99832206555887937690e-1,
                          1.36929880922735805310e-1,
                          1.48753612908506148525e-2,
                          7.86869131145613259100e-4,
                          1.84631831751005468180e-5,
                          1.42151175831644588870e-7,
                          2.04426310338993978564e-15};

}  // namespace

std::uint64_t mix_bits(std::uint64_t v) {
  v = (v ^ (v >> 30U)) * 0xBF58'476D'1CE4'E5B9U;
  v = (v ^ (v >> 27U)) * 0x94D0'49BB'1331'11EBU;
  return v ^ (v >> 31U);
}

RandomKey sub_key(const RandomKey& key, std::uint64_t part) {
  return {key.seed, mix_bits(mix_bits(key.stream + kGolden) ^ part) + part};
}

std::uint64_t random_bits(const RandomKey& key, std::uint64_t index) {
  const std::uint64_t start =
      mix_bits(mix_bits(key.seed + kGolden) ^ (key.stream * kGolden));
  return mix_bits(mix_bits(start + (index + 1) * kGolden) + key.stream);
}

double random_uniform(const RandomKey& key, std::uint64_t index) {
  // 52 bits and a half: exact in a double, and never 0 or 1.
  const auto bits = static_cast<double>(random_bits(key, index) >> 12U);
  return (bits + 0.5) * 0x1p-52;
}

double random_gaussian(const RandomKey& key, std::uint64_t index) {
  return normal_quantile(random_uniform(key, index));
}

double normal_quantile(double p) {
  const double q = p - 0.5;
  if (std::abs(q) <= 0.425) {
    const double r = 0.180625 - q * q;
    return q * polynomial(kA, r) / polynomial(kB, r);
  }
  const double tail = q < 0 ? p : 1 - p;
  const double r = std::sqrt(-portable_log(tail));
  const double size = r <= 5 ? polynomial(kC, r - 1.6) / polynomial(kD, r - 1.6)
                             : polynomial(kE, r - 5) / polynomial(kF, r - 5);
  return q < 0 ? -size : size;
}

}  // namespace stillpoint::simulate
