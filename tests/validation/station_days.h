// Real station-days with published coordinates, run through the code solver.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/rinex/observation_header.h"
#include "stillpoint/solve/code_solver.h"

namespace stillpoint::test {

struct StationDay {
  std::string name{};
  std::string observations{};  // below the data folder
  std::vector<std::string> navigation{}, orbits{};
  // Published marker coordinate, with the velocity to carry it to the day.
  Ecef published_m;
  double published_year = 0;
  std::string plate{};  // ITRF2014 plate, empty: already of the day
  double uplift_m_per_year = 0;
  double truth_sigma_m = 0;
  std::string source{};
};

// ESBC, AJAC, NYA1, USNO and the WTZR hour with broadcast orbits, then those
// that have precise orbits with clocks.
const std::vector<StationDay>& broadcast_days();
const std::vector<StationDay>& precise_days();

struct DayRun {
  bool available = false;  // the data are there
  std::string failure;     // what could not be read
  rinex::ObservationHeader header;
  solve::Solution solution;
  // Differences from the truth, marker, east north up.
  Enu difference_m;
  struct Piece {
    Enu difference_m;
    std::array<double, 3> sigma_m;
  };
  std::vector<Piece> epochs, hours;
  std::size_t satellites_seen = 0;
  std::size_t problems = 0;
};
DayRun run(const StationDay& day, const solve::TermSet& without = {});

// How often the truth lies inside one and two sigma.
struct Share {
  int n = 0, inside_one = 0, inside_two = 0;
};
// By component: east, north, up.
std::array<Share, 3> shares(const std::vector<DayRun::Piece>& pieces);

double median_3d_m(const std::vector<DayRun::Piece>& pieces);

}  // namespace stillpoint::test
