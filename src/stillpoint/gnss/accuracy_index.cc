#include "stillpoint/gnss/accuracy_index.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "stillpoint/gnss/epoch.h"

namespace stillpoint {
namespace {

// A value from a file may be rounded.
constexpr double kSlack = 1 + 1e-6;

// Index of the first limit that the accuracy does not exceed; `none` above the
// last and for NaN.
template <class Limits>
std::uint16_t first_not_below(const Limits& limits,
                              double accuracy_m,
                              std::uint16_t none) {
  const auto it =
      std::find_if(limits.begin(), limits.end(), [accuracy_m](double limit_m) {
        return accuracy_m <= limit_m * kSlack;
      });
  return it == limits.end() ? none
                            : static_cast<std::uint16_t>(it - limits.begin());
}

constexpr std::array kUraM{2.0,
                           2.8,
                           4.0,
                           5.7,
                           8.0,
                           11.3,
                           16.0,
                           32.0,
                           64.0,
                           128.0,
                           256.0,
                           512.0,
                           1024.0,
                           2048.0,
                           4096.0,
                           8192.0};
constexpr std::array kUraUpToM{2.4,
                               3.4,
                               4.85,
                               6.85,
                               9.65,
                               13.65,
                               24.0,
                               48.0,
                               96.0,
                               192.0,
                               384.0,
                               768.0,
                               1536.0,
                               3072.0,
                               6144.0};
constexpr std::array kGlonassM{1.0,
                               2.0,
                               2.5,
                               4.0,
                               5.0,
                               7.0,
                               10.0,
                               12.0,
                               14.0,
                               16.0,
                               32.0,
                               64.0,
                               128.0,
                               256.0,
                               512.0};

constexpr unsigned kSisaCount = 126;

// Whole centimetres, so that steps are exact.
constexpr int sisa_cm(int index) {
  if (index < 50) {
    return index;
  }
  if (index < 75) {
    return 50 + 2 * (index - 50);
  }
  if (index < 100) {
    return 100 + 4 * (index - 75);
  }
  return 200 + 16 * (index - 100);
}

std::array<double, kSisaCount> sisa_table() {
  std::array<double, kSisaCount> metres{};
  for (int i = 0; i < static_cast<int>(kSisaCount); ++i) {
    metres[static_cast<std::size_t>(i)] = sisa_cm(i) / 100.0;
  }
  return metres;
}

}  // namespace

double ura_m(unsigned index) {
  return index < kUraM.size() ? kUraM[index] : kMissing;
}

std::uint16_t ura_index(double accuracy_m) {
  return first_not_below(kUraUpToM, accuracy_m, 15);
}

double sisa_m(unsigned index) {
  return index < kSisaCount ? sisa_table()[index] : kMissing;
}

std::uint16_t sisa_index(double accuracy_m) {
  return first_not_below(sisa_table(), accuracy_m, 255);
}

double glonass_accuracy_m(unsigned index) {
  return index < kGlonassM.size() ? kGlonassM[index] : kMissing;
}

std::uint16_t glonass_accuracy_index(double accuracy_m) {
  return first_not_below(kGlonassM, accuracy_m, 15);
}

}  // namespace stillpoint
