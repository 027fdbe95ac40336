// The two points of a position record: the marker and the antenna reference
// point (ARP) above it. What rovers get is the ARP; what is compared is the
// marker, which stays when an antenna is replaced.
#pragma once

#include <array>

#include "stillpoint/geo/coords.h"
#include "stillpoint/store/position_records.h"

namespace stillpoint::report {

// Either from the other by the record's delta, which is taken as exact.
//
//   threads  pure
FramedPosition marker_of(const PositionRecord& record);
FramedPosition arp_of(const PositionRecord& record);

// The same for a position that has been brought into another frame.
FramedPosition point_of(const FramedPosition& position,
                        const std::array<double, 3>& delta_enu_m,
                        Point wanted);

// One sigma east, north, up [m].
std::array<double, 3> sigma_enu_m(const FramedPosition& position);
// Square root of the sum of the three variances [m].
double sigma_3d_m(const FramedPosition& position);

}  // namespace stillpoint::report
