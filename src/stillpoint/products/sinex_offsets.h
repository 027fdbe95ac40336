// The blocks of a SINEX file that tell of phase centres. Inside products only.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "stillpoint/aids/site_solution.h"
#include "stillpoint/products/sinex_fields.h"

namespace stillpoint::products {

// Takes rows, one at a time, and makes antennas of them at the end. Every
// take_… returns what is wrong with the row, empty for nothing.
class SinexOffsets {
 public:
  // A row of SITE/GPS_PHASE_CENTER or SITE/GAL_PHASE_CENTER.
  std::string_view take_gps_antenna(SinexLine line);
  std::string_view take_galileo_antenna(SinexLine line);
  std::string_view take_satellite(SinexLine line);       // …/PHASE_CENTER
  std::string_view take_satellite_name(SinexLine line);  // SATELLITE/ID

  // False where the rows would make too many antennas.
  bool finish(SinexProduct& product);

  static constexpr std::size_t kMaxAntennas = 100'000;

 private:
  // A satellite's time under one number.
  struct SatelliteName {
    std::optional<SatId> satellite;
    std::string cospar, type;
    std::optional<GnssTime> from, until;
  };
  // The rows of one antenna in a block: the n-th antenna of a type and serial
  // in the block of one system goes with the n-th in another's.
  struct Block {
    std::unordered_map<std::string, std::size_t> count;
    std::string last_key;
    std::size_t row = 0;      // of the antenna
    std::size_t antenna = 0;  // index into receivers_
  };

  void begin_antenna(const SinexLine& line,
                     System system,
                     const std::string& key,
                     Block& block);
  std::string_view take_offsets(const SinexLine& line,
                                System system,
                                std::array<int, 2> numbers,
                                AntennaPattern& into);
  void add_receivers(SinexProduct& product);
  bool add_satellite(AntennaPattern antenna, SinexProduct& product) const;

  std::vector<AntennaPattern> receivers_, satellites_;
  std::unordered_map<std::string, std::vector<std::size_t>> receivers_at_;
  std::unordered_map<std::string, std::size_t> satellites_at_;
  std::unordered_map<std::string, std::vector<SatelliteName>> names_;
  Block gps_, galileo_;
  bool relative_ = false;
  std::uint64_t left_out_ = 0;
};

}  // namespace stillpoint::products
