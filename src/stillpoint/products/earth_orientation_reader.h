// Reader of tables of Earth orientation, four forms.
#pragma once

#include <memory>

#include "stillpoint/aids/earth_orientation.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::products {

// Reads a whole table and recognises its form by itself:
//
//   C04 14 text    columns 3I4,I7,2F11.6,2F12.7,… (x, y, UT1-UTC, LOD)
//   C04 20 text    columns 4I4,F10.2,2F12.6,F12.7,2F12.6,2F12.6,F12.7, then the
//                  errors in the same order (x, y, UT1-UTC, dX, dY, rates of x
//                  and y, LOD)
//   IERS CSV       "MJD;Year;Month;…", columns by name
//   IGS ERP 2      "version 2", columns by name, 1e-6 arcsec and 1e-7 s
//
// Times are UTC. The columns of C04 carry a date beside the MJD, and the two
// must agree. A CSV does not say which C04 it holds: one with pole rates is
// taken for C04 20, one without for C04 14, one whose rows name a type for an
// "IERS table". Rows before 1980-01-06, rows without pole or UT1-UTC, and CSV
// rows of any type but "final" are counted in rows_left_out. dX and dY are not
// kept.
//
// None of the forms has a mark for its end: a cut inside a row is told, one
// between two rows cannot be.
//
//   errors   kBadHeader (none of the four forms, or a column is missing),
//            kUnsupported (another ERP version, UT1 without its tides),
//            kTruncated (ends in a row or before any), kTooLarge (more than
//            200 000 rows), kBadFormat; all with "path:line"
//   source   shared checks section 9 and the header of a C04 14 file; the
//            errors of C04 20 and what the columns of ERP files are called
//            elsewhere from memory; CSV and ERP 2 from the files at hand
Result<EarthOrientationProduct> read_earth_orientation(
    std::unique_ptr<ByteStream> stream);

}  // namespace stillpoint::products
