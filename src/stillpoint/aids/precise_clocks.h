// Clocks of satellites and stations at discrete epochs, as a clock product
// gives them, and their values between the epochs.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"
#include "stillpoint/time/scales.h"

namespace stillpoint {

// One clock value. 16 bytes, since a day of 30 s clocks has 350 000 of them.
struct ClockSample {
  double clock_s = 0;  // minus system time, without the periodic relativity
  // One sigma; NaN where the file gives none. Seven digits are kept.
  float sigma_s = std::numeric_limits<float>::quiet_NaN();
  std::uint32_t epoch = 0;  // index into ClockProduct::epochs
};
static_assert(sizeof(ClockSample) == 16);

// Rate and acceleration of a sample, where a file has them; NaN: not given.
struct ClockRate {
  std::uint32_t sample = 0;  // index into ClockSeries::samples, ascending
  double rate = 0;           // [s/s]
  double rate_sigma = 0;
  double acceleration_per_s = 0;  // [s/s^2]
  double acceleration_sigma_per_s = 0;
};

struct ClockSeries {
  std::string name;                  // "G07", "LHOL00XXX"
  std::optional<SatId> satellite;    // nothing: a station
  std::vector<ClockSample> samples;  // epochs ascend
  std::vector<ClockRate> rates;
};

// What was applied before the clocks were computed: "DCBS" and "PCVS" lines.
struct AppliedCorrection {
  System system = System::kGps;
  std::string program;  // at most 17 characters
  std::string source;   // at most 40 characters
  friend bool operator==(const AppliedCorrection&,
                         const AppliedCorrection&) = default;
};

// A clock that the others are aligned to.
struct ReferenceClock {
  std::string name;                // as in the records
  std::string id;                  // DOMES number or the like
  std::optional<double> offset_s;  // constraint put on it
  friend bool operator==(const ReferenceClock&,
                         const ReferenceClock&) = default;
};

struct ClockStation {
  std::string name, id;
  Ecef position_m;  // to the millimetre
};

// Fractional part of a satellite's wide-lane combination, as integer clocks
// come with [cycles of the wide lane]; the sign: PreciseClocks::wide_lane_cyc.
struct WideLaneBias {
  SatId sat;
  GnssTime at;
  double bias_cyc = 0;
  char first_band = '1', second_band = '2';  // "0105": 1 and 5
  friend bool operator==(const WideLaneBias&, const WideLaneBias&) = default;
};

// The content of one clock file.
struct ClockProduct {
  std::string source;  // path, for messages
  double version = 3.04;
  std::string program, run_by, date;  // "PGM / RUN BY / DATE"
  TimeScale scale = TimeScale::kGps;  // of the file; epochs here are GPST
  std::optional<int> leap_seconds;
  std::vector<AppliedCorrection> code_biases, phase_centres;
  std::string analysis_centre, analysis_name;  // "WHU", and words
  std::string frame_label;  // of the stations' coordinates: "IGS20"
  std::vector<ReferenceClock> references;
  std::vector<ClockStation> stations;
  std::vector<std::string> comments;
  std::vector<WideLaneBias> wide_lane;
  std::vector<GnssTime> epochs;        // ascending
  std::vector<ClockSeries> series;     // satellites in order, then stations
  std::uint64_t records_left_out = 0;  // of kinds that are not kept
};

// A satellite's clock at an instant.
struct ClockValue {
  double clock_s = 0;
  // The larger sigma of the samples used; NaN: the file gives none.
  double sigma_s = 0;
  // One sigma of the clock's own wander between the two samples, 0 at a
  // sample; NaN where the samples are too few to show it.
  double interpolation_sigma_s = 0;
};

// Clocks by satellite: linear between two neighbouring samples of one product
// that are at most 1.5 of the satellite's nominal intervals apart, never
// across a jump, never outside. Several products answer in the order in which
// they were added; between the last sample of one and the first of the next
// nothing is made up, since the days of an agency do not join smoothly.
//
//   jump      a step that is out of line with the steps on both sides by 12
//             sigmas of the clock's usual wander and by 0.1 ns (our choice)
//   memory    16 bytes a sample
//   threads   the const functions may be called from several at once
class PreciseClocks {
 public:
  // Keeps the satellites' series and wide-lane biases of the product.
  void add(ClockProduct product);

  // Satellite clock minus GPST [s], without the periodic relativistic term;
  // nothing where the products have none. A file's own scale (BDT, GST …)
  // changes the epochs by whole seconds, not the values.
  [[nodiscard]] std::optional<double> clock_s(SatId sat, GnssTime t) const;
  [[nodiscard]] std::optional<ClockValue> clock_at(SatId sat, GnssTime t) const;

  // Nominal interval of a satellite in the first product that has it [s].
  [[nodiscard]] std::optional<double> interval_s(SatId sat) const;
  // How far the clock wanders in one second [s / sqrt(s)], as its own samples
  // show; nothing when they are too few.
  [[nodiscard]] std::optional<double> wander(SatId sat) const;
  // Wide-lane bias of a satellite [cycles], from the first product with an
  // epoch within kBiasEdgeS of t; of several in it the nearest in time. Nothing
  // where there is none for these bands.
  //
  //   use   Melbourne-Wuebbena value + bias = integer + a receiver's constant.
  //         The sign was found on a day of 31 GPS and 24 Galileo satellites:
  //         so all fractions agree to 0.06 cycles, with the other they scatter
  //         evenly (docs/validation.md, "Integers of the phase position")
  static constexpr double kBiasEdgeS = 900;
  [[nodiscard]] std::optional<double> wide_lane_cyc(SatId sat,
                                                    GnssTime t,
                                                    char first_band,
                                                    char second_band) const;
  // Whether any product brings wide-lane biases.
  [[nodiscard]] bool has_wide_lane() const;
  // Jumps found in all products.
  [[nodiscard]] std::size_t jumps(SatId sat) const;

  [[nodiscard]] std::optional<GnssTime> first() const;
  [[nodiscard]] std::optional<GnssTime> last() const;

 private:
  struct Track {
    std::vector<ClockSample> samples;
    std::vector<std::uint32_t> jumps;  // sample before the jump, ascending
    std::int64_t interval_ns = 0;
    double wander = std::numeric_limits<double>::quiet_NaN();
  };
  struct Layer {
    std::vector<GnssTime> epochs;
    std::vector<std::pair<SatId, Track>> tracks;  // by satellite
    std::vector<WideLaneBias> wide_lane;
  };
  static const Track* find(const Layer& layer, SatId sat);
  static std::optional<ClockValue> value_at(const Layer& layer,
                                            const Track& track,
                                            GnssTime t);
  static void study(const Layer& layer, Track& track);

  std::vector<Layer> layers_;
};

}  // namespace stillpoint
