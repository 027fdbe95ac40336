// Runs of phase differences without a slip.
#pragma once

#include "stillpoint/solve/tie_rows.h"

namespace stillpoint::solve {

// Cuts the modelled rows of every satellite and group into arcs and fills
// row.arc. The difference of two epochs less its model may change only with the
// receivers' clocks, which all satellites and bands share (their median), with
// noise and with the ionosphere's difference: 5 cm in 30 s at the zenith. Half
// a cycle is 9.5 cm and more. Receivers' own loss-of-lock marks are not needed,
// and not believed.
//
// Gaps so long that the limit would let half a cycle through begin a new arc.
//
//   length_m   between the ends: the ionosphere's difference grows with it
//   returns    slips, gaps not counted
//   source     limits from the wavelengths; the method is common practice, no
//              source
int find_tie_arcs(TieSession& session, double length_m);

// Marks arcs that are too short to be worth an ambiguity and takes whole cycles
// off each arc's phases so that numbers stay small.
void finish_tie_arcs(TieSession& session);

// Moves the reference: what the rows lack changes with the part of the move
// along each ray. Arcs and edits are forgotten.
void move_reference(TieSession& session, const Ecef& dx_m);

}  // namespace stillpoint::solve
