// Satellites by the numbers that NMEA sentences give them.
#pragma once

#include <optional>
#include <string_view>

#include "stillpoint/gnss/satellite.h"

namespace stillpoint::nmea {

// The satellite that a talker means by a number; nothing where nobody can
// say. All from memory, and common practice where receivers left the standard
// before it had a place for their satellites:
//
//   any talker   33-64 SBAS (PRN - 87), but not GA, GB, BD, GQ, QZ, GI
//   GP           1-32 GPS
//   GL           65-96 GLONASS slots 1-32
//   GA           1-36 Galileo, also as 301-336
//   GB, BD       1-63 BeiDou, also as 201-263 and 401-463
//   GQ, QZ       1-10 QZSS, also as 193-202
//   GI           1-15 NavIC
//   GN and GP    also the rest by ranges: 65-96 GLONASS, 120-158 SBAS by PRN,
//                193-200 QZSS, 203-263 and 401-463 BeiDou, 301-336 Galileo;
//                201 and 202 are QZSS to some and BeiDou to others: nothing
std::optional<SatId> satellite_of(std::string_view talker, int number);

}  // namespace stillpoint::nmea
