// Small charts one above the other with one axis of x and one scale: what each
// of many satellites did.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "stillpoint/plot/markup.h"
#include "stillpoint/plot/scale.h"
#include "stillpoint/plot/thin.h"

namespace stillpoint::plot {

struct Row {
  std::string label;  // at the left, a few letters
  std::string note;   // at the right, a number
  std::vector<Xy> points;
  std::vector<Xy> crosses;
};

struct RowsScale {
  double limit = 1;        // > 0: every row reaches from -limit to limit
  std::string words;       // "each row reaches from -20 to 20 mm"
  std::string note_words;  // above the notes: "rms, mm"
};

// The picture. A value beyond the limit is drawn at the edge of its row, as an
// arrowhead; a value that is not finite is left out.
//
//   rows        at least one
//   most_cells  for all rows together, shared evenly; about 9 bytes each
std::string row_chart(const Caption& caption,
                      const Axis& x,
                      const RowsScale& scale,
                      std::span<const Row> rows,
                      std::size_t most_cells = 12'000);

}  // namespace stillpoint::plot
