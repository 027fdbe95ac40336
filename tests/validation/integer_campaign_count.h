// What the integer campaign counts, and the tables that it prints.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "tests/validation/integer_campaign_world.h"

namespace stillpoint::test {

// One solution of one span.
struct CampaignSolve {
  int minutes = 0;
  bool converged = false, fixed = false;
  bool wrong = false;  // fixed, and further off than it may be
  // Fixed, near the truth, and yet a satellite's phase stays off by more than a
  // quarter of a wave.
  bool odd = false;
  Enu error_m;
  std::array<double, 3> sigma_m{};
};

// One start at one failure rate.
struct CampaignStart {
  std::uint64_t number = 0;
  std::vector<CampaignSolve> solves;  // by spans, ascending
};

struct CampaignRun {
  CampaignCell cell;
  double failure_rate = 0;
  std::vector<CampaignStart> starts;
};

// May a position that stands on integers be off by so much: 3 cm and three
// sigmas, in each of east, north and up.
bool is_right(const Enu& error_m, const std::array<double, 3>& sigma_m);

// Upper end of the one-sided 95 % interval of a share, `hits` of `count`.
//
//   source    C. J. Clopper, E. S. Pearson, Biometrika 26 (1934), p. 404
//             (from memory): the share at which so few hits, or fewer, have a
//             chance of 5 %
double upper_share(int hits, int count);
// The lower end, by the same.
double lower_share(int hits, int count);

// Markdown tables of the runs of one failure rate, and of the wrong ones.
std::string campaign_tables(const std::vector<CampaignRun>& runs);

enum class CampaignVerdict : std::uint8_t {
  kGood,       // no more wrong first fixes than three times the rate, for sure
  kTooFew,     // starts to say so; nor that there are more
  kTooMany,    // more than the rate allows, for sure
  kNeverFixed  // the shortest tie under a quiet sky was hardly ever fixed
};
CampaignVerdict judge(const std::vector<CampaignRun>& runs, std::string& why);

}  // namespace stillpoint::test
