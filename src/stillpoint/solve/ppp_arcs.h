// Runs of phase without a slip.
#pragma once

#include <optional>

#include "stillpoint/solve/ppp_rows.h"

namespace stillpoint::solve {

// Cuts the modelled rows of every satellite into arcs and fills row.arc. Two
// tests, both against the satellite's previous row, together see nearly every
// slip (one cycle on both carriers at once hides in the noise below 22
// degrees):
//
//   time difference   the ionosphere-free phase less its model may change only
//                     with the receiver's clock, which all satellites share
//                     (their median); a slip moves it by 5 cm and more, but for
//                     a few combinations of both frequencies, which
//   geometry-free     show in the difference of the phases by 0.4 m and more
//
// Receivers' own loss-of-lock marks are not needed, and not believed. A gap of
// more than ten minutes, another signal or a mark at a gap begins an arc too.
//
// A receiver that sets its clock back by whole milliseconds in the codes alone
// has its phases moved along, so that arcs go on.
//
// The same differences show when the antenna itself jumps from one epoch to the
// next: all satellites step, each by the jump's part along its ray.
//
//   source    limits: worked out from the wavelengths of G, R, E, C pairs (see
//             the implementation); the method is common practice, no source
struct ArcFindings {
  int slips = 0;  // gaps not counted
  // The largest jump of the antenna that stands out, three centimetres and
  // more; nothing: it stood still.
  struct Jump {
    GnssTime time;
    double size_m = 0;
  };
  std::optional<Jump> jump;
};
ArcFindings find_arcs(PppSession& session);

// Marks arcs that are too short to be worth an ambiguity, takes a constant off
// each arc's phases so that numbers stay small.
void finish_arcs(PppSession& session);

// Moves the reference by some metres: what the rows lack changes with the part
// of the move along each ray (3 um are left out at 10 m). Arcs and edits are
// forgotten, so that find_arcs() may look again from a better place: a place
// that is metres off looks like slips in epochs that are minutes apart.
void move_reference(PppSession& session, const Ecef& dx);

}  // namespace stillpoint::solve
