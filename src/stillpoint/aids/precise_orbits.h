// Precise orbits and clocks at discrete epochs, interpolated.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint {

// One epoch's values of one satellite; NaN where the product has none.
struct PreciseSample {
  SatId sat;
  Ecef position_m;           // NaN components: missing
  double clock_s = 0;        // NaN: missing
  bool clock_event = false;  // a jump before this epoch: never interpolate over
  bool predicted = false;    // orbit or clock
  bool manoeuvre = false;    // thrust before this epoch: never across either
};

struct PreciseEpoch {
  GnssTime time;  // GPST
  std::vector<PreciseSample> samples;
};

// The content of one product file.
struct PreciseProduct {
  std::string source;       // path, for messages
  std::string frame_label;  // "IGb14", "IGS20", as the file writes it
  std::string agency;
  bool centre_of_mass = true;  // false: phase-centre orbits
  double interval_s = 0;
  std::vector<PreciseEpoch> epochs;  // ascending
};

// Orbits by polynomial interpolation of order 10 (11 samples) in an
// Earth-rotation-corrected frame, clocks linearly between neighbours. Never
// extrapolates beyond the first and last sample by more than one interval for
// orbits, never at all for clocks. Gaps of more than one sample and
// manoeuvres are ends too.
//
//   accuracy   error of the interpolation alone, in the middle of a file:
//              1.5 mm rms of 10- and 15-minute samples, which is what the
//              printed millimetre allows (precise_orbits_data_test)
//   sigma      range_sigma_m grows by the first term left out of the
//              polynomial and by how much the samples' digits are amplified
//              (both matter at a file's ends), and by the wander of the
//              satellite's clock between two samples; all estimated from the
//              samples themselves
//   threads    state(), group_delay_s() and the rest of the const functions
//              may be called from several threads at once
class PreciseOrbits final : public OrbitSource {
 public:
  PreciseOrbits();
  ~PreciseOrbits() override;
  PreciseOrbits(PreciseOrbits&&) noexcept;
  PreciseOrbits& operator=(PreciseOrbits&&) noexcept;

  // Adds a product; at an epoch present in two products the first added wins.
  // By satellite, a later product only adds epochs where the earlier ones
  // leave more than their interval open: two agencies' samples are never
  // interleaved. Samples without a position are left out.
  //
  //   errors   kMixedInput when the frame label, or centre of mass against
  //            phase centre, differs from what was added before
  Status add(PreciseProduct product);

  [[nodiscard]] tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime t) const override;
  // The same without the clock (clock_s NaN when there is none), for products
  // whose clocks come from another file.
  [[nodiscard]] tl::expected<SatelliteState, NoState> orbit(SatId sat,
                                                            GnssTime t) const;
  // The same without looking for a clock: clock_s NaN, range_sigma_m of the
  // orbit alone.
  [[nodiscard]] tl::expected<SatelliteState, NoState> place(SatId sat,
                                                            GnssTime t) const;
  // 0: the products' clocks refer to the usual ionosphere-free pair
  // (GPS 1P/1W 2P/2W, GLONASS 1P 2P, Galileo 1C/1X 5Q/5X, BeiDou 2I 6I, QZSS
  // 1C 2L/2S/2X; common practice, no source). Nothing for other signals.
  [[nodiscard]] std::optional<double> group_delay_s(
      SatId sat, GnssTime t, SignalCode signal) const override;
  [[nodiscard]] std::optional<int> glonass_channel(SatId sat) const override;
  [[nodiscard]] std::string frame_label() const override;

  [[nodiscard]] std::optional<GnssTime> first() const;
  [[nodiscard]] std::optional<GnssTime> last() const;

 private:
  [[nodiscard]] tl::expected<SatelliteState, NoState> evaluate(
      SatId sat, GnssTime t, bool with_clock) const;

  struct Store;
  std::unique_ptr<Store> store_;
};

}  // namespace stillpoint
