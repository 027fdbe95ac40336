#include "stillpoint/datum/frames.h"

#include <array>
#include <cctype>

#include "stillpoint/core/text.h"

namespace stillpoint {
namespace {

// One row a label. The label field of an orbit file (SP3) has five columns, so
// that "ITRF2014" appears there as "ITR14"; a bare "ITRF" has lost its year
// and is not known.
// source: the realisation each IGS frame is aligned to and the short forms are
// from memory; "IGb14" and "IGS20" also seen in orbit files of 2020 and 2024.
constexpr std::array kRows{
    FrameRow{"IGc20", "IGc20", "ITRF2020"},
    FrameRow{"IGb20", "IGb20", "ITRF2020"},
    FrameRow{"IGS20", "IGS20", "ITRF2020"},
    FrameRow{"IGb14", "IGb14", "ITRF2014"},
    FrameRow{"IGS14", "IGS14", "ITRF2014"},
    FrameRow{"IGb08", "IGb08", "ITRF2008"},
    FrameRow{"IGS08", "IGS08", "ITRF2008"},
    FrameRow{"IGS05", "IGS05", "ITRF2005"},
    FrameRow{"IGb00", "IGb00", "ITRF2000"},
    FrameRow{"IGS00", "IGS00", "ITRF2000"},
    FrameRow{"IGS97", "IGS97", "ITRF97"},
    FrameRow{"ITRF2020", "ITRF2020", "ITRF2020"},
    FrameRow{"ITR20", "ITRF2020", "ITRF2020"},
    FrameRow{"ITRF2014", "ITRF2014", "ITRF2014"},
    FrameRow{"ITR14", "ITRF2014", "ITRF2014"},
    FrameRow{"ITRF2008", "ITRF2008", "ITRF2008"},
    FrameRow{"ITR08", "ITRF2008", "ITRF2008"},
    FrameRow{"ITRF2005", "ITRF2005", "ITRF2005"},
    FrameRow{"ITR05", "ITRF2005", "ITRF2005"},
    FrameRow{"ITRF2000", "ITRF2000", "ITRF2000"},
    FrameRow{"ITR00", "ITRF2000", "ITRF2000"},
    FrameRow{"ITRF97", "ITRF97", "ITRF97"},
    FrameRow{"ITR97", "ITRF97", "ITRF97"},
    FrameRow{"ITRF96", "ITRF96", "ITRF96"},
    FrameRow{"ITR96", "ITRF96", "ITRF96"},
    FrameRow{"ITRF94", "ITRF94", "ITRF94"},
    FrameRow{"ITR94", "ITRF94", "ITRF94"},
    FrameRow{"WGS84", "WGS84", "WGS84"},
    FrameRow{"WGS 84", "WGS84", "WGS84"},
};

bool same_label(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) {
    return false;
  }
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (std::toupper(static_cast<unsigned char>(a[i])) !=
        std::toupper(static_cast<unsigned char>(b[i]))) {
      return false;
    }
  }
  return true;
}

}  // namespace

std::span<const FrameRow> frame_rows() {
  return kRows;
}

FrameLabel frame_of_label(std::string_view label) {
  const std::string_view wanted = trim(label);
  for (const FrameRow& row : kRows) {
    if (same_label(row.label, wanted)) {
      return {
          FrameId{std::string(row.name)}, std::string(row.aligned_to), true};
    }
  }
  return {FrameId{std::string(wanted)}, {}, false};
}

}  // namespace stillpoint
