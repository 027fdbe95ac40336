// Phase centres of both antennas for the ionosphere-free combination: which
// calibration serves whom, and what it comes to along a ray.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/aids/antenna_patterns.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/models/attitude.h"
#include "stillpoint/solve/ppp_options.h"
#include "stillpoint/solve/ppp_rows.h"

namespace stillpoint::solve {

// How well an antenna is known.
enum class Calibration : std::uint8_t { kFull, kOffset, kNone };
const char* calibration_name(Calibration c);  // "full", "offset", "none"

class PppAntennas {
 public:
  // Looks up the receiver's antenna: a pattern of exactly this type and radome;
  // else an offset of it; else the offset of the same antenna with another
  // radome, which is said.
  explicit PppAntennas(const PppOptions& options);

  [[nodiscard]] Calibration receiver() const { return receiver_level_; }
  // What stands in for a calibration that is not at hand; empty: nothing does.
  [[nodiscard]] const std::string& receiver_stand_in() const {
    return stand_in_;
  }
  // Model names of the calibrations in use ("IGS20_2335"), each once.
  [[nodiscard]] const std::vector<std::string>& models() const {
    return models_;
  }
  // Signals whose band the receiver antenna's calibration lacks: a
  // neighbouring band of GPS stood in.
  [[nodiscard]] bool other_bands() const { return other_bands_; }

  // How the satellite's antenna is known, and its attitude habit.
  struct Satellite {
    const AntennaPattern* pattern = nullptr;
    Calibration level = Calibration::kNone;
    models::YawHabit habit = models::YawHabit::kNominal;
    double days_off = 0;  // the calibration is of another day
  };
  [[nodiscard]] const Satellite& satellite(SatId sat, GnssTime t);
  // Whether the calibrations at hand know any satellite of the systems asked
  // for. Then those that they do not know are better left out: their offset of
  // a metre and more would pass for a change of height.
  [[nodiscard]] bool knows_satellites(GnssTime t);

  // Ionosphere-free correction [m], to be added to the computed range.
  //
  //   line_of_sight   unit vector from satellite to receiver in body axes
  [[nodiscard]] double satellite_m(const Satellite& satellite,
                                   const PppRow& row,
                                   const AntennaVector& line_of_sight) const;
  // The same of the receiver's antenna; unit vector to the satellite in north,
  // east, up.
  [[nodiscard]] double receiver_m(const PppRow& row,
                                  const AntennaVector& line_of_sight);

 private:
  [[nodiscard]] const AntennaFrequency* receiver_band(System system, char band);
  void note_model(const AntennaPattern& pattern);

  const PppOptions* options_;
  const AntennaPattern* receiver_ = nullptr;
  Calibration receiver_level_ = Calibration::kNone;
  std::string stand_in_;
  std::vector<std::string> models_;
  bool other_bands_ = false;
  std::optional<bool> knows_satellites_;
  std::vector<std::optional<Satellite>> satellites_;  // by SatId::index()
  // Receiver's calibration by system and band digit, once looked up.
  struct Band {
    bool known = false;
    const AntennaFrequency* frequency = nullptr;
  };
  std::array<std::array<Band, 10>, kSystemCount> bands_{};
};

}  // namespace stillpoint::solve
