// The options of `locate`, read and checked.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/solve/code_options.h"
#include "stillpoint/solve/terms.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::app {

// The words as typed, or as a job file has them, before they are checked. An
// empty text is an option that was not given.
struct LocateWords {
  std::vector<std::string> observations, navigation, orbits, clocks, biases,
      antennas, offsets, without;
  std::string earth, loading, method, ambiguities, systems, start, end, mask,
      out, report, archives, cache, job, working_folder;
  bool fetch = false, help = false;
};

enum class LocateMethod : std::uint8_t { kCode, kPpp };

struct LocateArgs {
  std::vector<std::string> observations, navigation, orbits, clocks, biases,
      antennas, offsets;
  std::string earth, loading;  // one file each, or empty
  LocateMethod method = LocateMethod::kCode;
  solve::SystemSet systems = solve::SystemSet::all();
  std::optional<GnssTime> start, end;
  double elevation_mask_deg = 7;
  bool integers = true;  // of the phases; false: --ambiguities float
  solve::TermSet without;
  std::vector<std::string> without_names;
  std::string out;              // record file, or empty
  std::string report;           // page for people, or empty
  bool fetch = false;           // bring the product files that were not given
  std::string archives, cache;  // with fetch; cache may be empty: the user's
  // Where files are written before they are whole; empty: beside the result.
  std::string working_folder;
  bool help = false;
};

//   words    what stood behind `locate`, without --json
//   errors   kUsage with the option, what is allowed and the remedy; those of
//            read_locate_job() where there is a --job
Result<LocateArgs> parse_locate(const std::vector<std::string>& words);

}  // namespace stillpoint::app
