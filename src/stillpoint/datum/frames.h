// The frame labels that orbit files and people write, and what they stand for.
// docs/frames.md is the same table for people; a test holds them together.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "stillpoint/geo/coords.h"

namespace stillpoint {

struct FrameRow {
  std::string_view label;  // as written, upper case compared
  std::string_view name;   // canonical name: "IGb14"
  // The ITRF realisation whose origin, scale and orientation it has at the
  // level of a millimetre; "WGS84" stands for itself (see docs/frames.md).
  std::string_view aligned_to;  // "ITRF2014"
};

std::span<const FrameRow> frame_rows();

// A label looked up.
struct FrameLabel {
  FrameId frame;           // canonical; the label itself where not known
  std::string aligned_to;  // empty where not known
  bool known = false;
};

// Blanks at the ends do not count and neither does case. A label that is not in
// the table is kept as written (trimmed) with known == false; callers warn
// ("frame_unknown").
FrameLabel frame_of_label(std::string_view label);

}  // namespace stillpoint
