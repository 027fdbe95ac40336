// The blocks of a SINEX file that tell of its sites. Inside products only.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "stillpoint/aids/site_solution.h"
#include "stillpoint/products/sinex_fields.h"

namespace stillpoint::products {

// Takes rows, one at a time, and gathers them into a product at the end. Every
// take_… returns what is wrong with the row, empty for nothing.
class SinexSites {
 public:
  std::string_view take_identity(SinexLine line);
  std::string_view take_receiver(SinexLine line);
  std::string_view take_antenna(SinexLine line);
  std::string_view take_eccentricity(SinexLine line);
  std::string_view take_epochs(SinexLine line);
  std::string_view take_estimate(SinexLine line);

  void finish(SinexProduct& product);

 private:
  // Bits 0 to 2: X, Y, Z are there.
  struct Gathered {
    SiteCoordinate row;
    Ecef velocity_mps, velocity_sigma_mps;
    unsigned position = 0, velocity = 0;
  };

  void finish_coordinates(SinexProduct& product);
  void finish_eccentricities(SinexProduct& product);

  std::vector<SiteIdentity> identities_;
  std::vector<SiteReceiver> receivers_;
  std::vector<SiteAntenna> antennas_;
  // As printed: where given_as_xyz is set, up, north, east hold X, Y, Z.
  std::vector<SiteEccentricity> eccentricities_;
  std::unordered_map<std::string, SiteSpan> epochs_;
  std::vector<Gathered> gathered_;
  std::unordered_map<std::string, std::size_t> gathered_at_;
};

}  // namespace stillpoint::products
