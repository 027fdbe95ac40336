// The options of `candidates`, `adopt`, `position` and `claim`, read and
// checked.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::app {

// A coordinate that somebody typed, of the marker.
struct TypedCoordinate {
  Ecef position_m;
  std::array<double, 3> sigma_enu_m{};
  FrameId frame;  // canonical where the label is known
  GnssTime epoch;
  std::string source;
};

// What --frame asks for; nothing: as the record has it.
struct WantedFrame {
  std::optional<FrameId> frame;  // canonical
  std::optional<GnssTime> epoch;
  std::string plate;  // one of a model; empty: that of the place
};

struct CandidatesArgs {
  std::string config;
  std::vector<std::string> add;  // documents
  std::optional<TypedCoordinate> typed;
  WantedFrame wanted;  // of the table; nothing with a typed coordinate
  bool help = false;
};

struct AdoptArgs {
  std::string config;
  std::int64_t record = 0;
  std::string reason;
  std::string by = "command line";
  bool help = false;
};

struct PositionArgs {
  std::string config;
  WantedFrame wanted;
  bool help = false;
};

struct ClaimArgs {
  std::string config;
  bool help = false;
};

//   errors   kUsage with the option, what is allowed and the remedy;
//            kFrameUnknown for a table or a position in a frame that records
//            cannot be brought into
Result<CandidatesArgs> parse_candidates(const std::vector<std::string>& words);
Result<AdoptArgs> parse_adopt(const std::vector<std::string>& words);
Result<PositionArgs> parse_position(const std::vector<std::string>& words);
Result<ClaimArgs> parse_claim(const std::vector<std::string>& words);

}  // namespace stillpoint::app
