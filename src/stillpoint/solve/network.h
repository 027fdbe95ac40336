// The adjustment of ties: one position here from vectors to stations whose
// coordinates are known, and whether these coordinates agree with each other.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::solve {

// The vector to one station; each station once. Covariances are ECEF [m^2];
// no direction of one is taken to be better than 0.1 mm.
struct NetworkTie {
  std::string to;   // the station's name, for messages
  Ecef known_m;     // its coordinate, at the epoch of the answer
  Cov3 known_m2{};  // zeros: taken as exact
  Ecef vector_m;    // here minus there, marker to marker
  Cov3 vector_m2{};
};

struct NetworkTieResult {
  // Known + vector minus the adjusted position, at the place of `to` [m].
  std::array<double, 3> residual_enu_m{};
  // The largest of the tie's three residuals (east, north, up), each over its
  // own standard deviation and with the other ties held against it; a normal
  // variable where nothing is wrong.
  double test = 0;
};

struct Network {
  Ecef position_m;  // the marker here
  // Where the ties conflict, enlarged by chi2 / dof: the coordinate is then
  // not to be relied on, and its sigma should not pretend otherwise.
  Cov3 covariance_m2{};
  double chi2 = 0;
  int dof = 0;  // three for each tie after the first
  bool passed = true;
  double limit = 0;  // of chi2; 0 where nothing can be tested
  std::vector<NetworkTieResult> ties;
  // Which known coordinate is suspected, by index of its tie, if it can be
  // told.
  std::optional<std::size_t> suspect;
  // A sentence: that the stations agree, or what disagrees, by how much, who
  // is suspected and on what evidence, or that it cannot be told and what
  // would tell.
  std::string why;
};

// Evidence from elsewhere about the known stations: an own absolute position
// of one of them, in the frame and at the epoch of the known coordinates.
struct KnownEvidence {
  std::size_t tie = 0;
  Ecef position_m;
  Cov3 covariance_m2{};
  std::string method;  // "ppp-float", for people
};

// In which frame the known coordinates are said to be, for the question
// whether one of them is in a national frame instead. Without it nobody asks.
struct NetworkFrame {
  std::string aligned_to;  // as FrameRow::aligned_to: "ITRF2014"
  GnssTime epoch;
};

// Least squares with all known coordinates and vectors as observations.
//
//   correlation  two vectors share the noise of the antenna here, which is
//                taken to be as large as that of the antenna there: half of a
//                vector's covariance L L^T (Cholesky) is common to all, so that
//                two of them have the cross covariance L_i L_j^T / 2
//   test         chi-square at 99.9 %: a conflict ends the program with "no",
//                so one sound network in a thousand may be refused and no more;
//                a shift of seven times the standard deviation of the known
//                coordinate against the others (5 cm where that is 7 mm) is
//                missed about once in a thousand
//   suspect      the station without which the rest agrees, where the data and
//                the evidence together make it a hundred times likelier than
//                any other. Two stations say nothing about which is wrong: then
//                the evidence decides alone, both stations' together, since
//                what the methods get wrong is much the same for both
//   source       generalised least squares; model test and three-component
//                snooping of one station after the other: Baarda, "A testing
//                procedure for use in geodetic networks" (1968), from memory;
//                the decision: network_judge.cc
//   threads      pure
Network adjust_network(const std::vector<NetworkTie>& ties,
                       const std::vector<KnownEvidence>& evidence = {},
                       const NetworkFrame& frame = {});

}  // namespace stillpoint::solve
