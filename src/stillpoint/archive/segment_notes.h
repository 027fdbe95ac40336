// What a segment says about itself at its front (opening), at its end
// (closing), and where it knows that bytes are not there (gap).
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/digest.h"
#include "stillpoint/archive/gap.h"
#include "stillpoint/archive/piece.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::archive {

// How the segment before this one ended.
enum class PreviousEnd : std::uint16_t {  // stored; never renumber
  kNone = 0,                              // this is the first of its stream
  kClosed = 1,   // with a closing, whose digest is known
  kGivenUp = 2,  // a write or sync failed; what counts begins here again
  kUnclean = 3,  // the program or the power ended; sealed at the next start
  kMissing = 4,  // it was not there any more at the next start
};

// The back link of an opening.
struct PreviousSegment {
  PreviousEnd end = PreviousEnd::kNone;
  std::string path;  // below the archive's folder
  std::uint64_t first_offset = 0;
  GnssTime last_time;  // of the last byte known to be there
  Digest digest{};     // of its bytes up to the closing; zeros: not known
};

struct Opening {
  std::uint64_t stream = 0;
  // Of the first byte or gap; every byte before was on the card, or was said
  // to be lost, when this segment was begun.
  std::uint64_t offset = 0;
  GnssTime time;
  PreviousSegment previous;
};

using Tags = std::map<std::string, std::string>;
using Counts = std::map<std::string, std::uint64_t>;

struct Closing {
  std::uint64_t stream = 0;
  std::uint64_t first_offset = 0, end_offset = 0;
  GnssTime first_time, last_time;  // least and greatest receive time
  bool times_go_back = false;      // no search by time in its blocks
  bool sealed_later = false;       // by a recovery, not by the recorder
  std::uint32_t gap_count = 0;
  std::vector<Gap> gaps;  // the first of them
  Tags tags;
  Counts counts;
  Digest digest{};  // of the file up to this piece
};

// What fits for sure into a closing.
inline constexpr std::size_t kMostGapsNoted = 100;
inline constexpr std::size_t kMostTagBytes = 16384;
// What tags and counts take of kMostTagBytes.
std::size_t noted_size(const Tags& tags, const Counts& counts);

std::vector<std::uint8_t> encode_body(const Opening& opening);
std::vector<std::uint8_t> encode_body(const Gap& gap);
std::vector<std::uint8_t> encode_body(const Closing& closing);
// Nothing where the body is not one of its kind.
std::optional<Opening> decode_opening(const Piece& piece);
std::optional<Gap> decode_gap(const Piece& piece);
std::optional<Closing> decode_closing(const Piece& piece);

}  // namespace stillpoint::archive
