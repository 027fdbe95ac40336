// Rows of an Epoch to legacy observations.
#pragma once

#include <functional>
#include <optional>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rtcm/raw_legacy.h"

namespace stillpoint::rtcm {

struct LegacyEncodeOptions {
  int station_id = 0;         // 0 .. 4095
  bool more_follows = false;  // another message of this epoch comes
  // Seconds for which the phase has been locked without a break; where there
  // is no such function every lock counts as new (0).
  std::function<double(SatId, SignalCode)> lock_s;
  // Frequency channel; a GLONASS satellite without one is left out.
  std::function<std::optional<int>(SatId)> glonass_channel;
  // Which signal of a band is sent where several were measured: RINEX letters,
  // the first that is there. W and D, P and Y lead on GPS L2 since every
  // satellite has them.
  std::string_view gps_l1 = "CPYW";
  std::string_view gps_l2 = "WPYDCXSL";
  std::string_view glonass_l1 = "CP";
  std::string_view glonass_l2 = "CP";
};

// The epoch's GPS and SBAS (PRN 120 to 138, C/A on L1) satellites as message
// 1001 .. 1004, its GLONASS satellites as 1009 .. 1012.
//
// DF010: C -> 0; P, Y, W -> 1. DF016: C, X, S, L -> 0; P, Y -> 1; D -> 2;
// W -> 3. Letters of the options that stand for none of them are passed over.
//
// Codes and phases are rounded to 0.02 m and 0.0005 m, everything relative to
// the rounded L1 code. A phase goes out as it is where it lies within
// +-262.1435 m of that code, else moved by as few times 1500 cycles as bring it
// there. Where L1 has no code, that of L2 is the reference and L1 counts as not
// measured (no C/N0). An L1 code without phase is sent with its C/N0, see
// to_rows. Left out: satellites that would say nothing, codes beyond 255
// (GLONASS: 127) whole units, L2 codes more than 163.82 m from that of L1.
//
//   errors   kUnsupported for another type; kOutOfRange for a time more than
//            0.5 us (0.5 mm of range) off a whole millisecond, more than 31
//            satellites or a station id that does not fit
//   source   RTCM 10403.3, sections on messages 1001 to 1004 and 1009 to 1012
//            and their data fields, from memory
Result<RawLegacyGps> to_raw_legacy_gps(int type,
                                       const Epoch& epoch,
                                       const LegacyEncodeOptions& options);
Result<RawLegacyGlonass> to_raw_legacy_glonass(
    int type, const Epoch& epoch, const LegacyEncodeOptions& options);

}  // namespace stillpoint::rtcm
