// Legacy observations (1001 to 1004, 1009 to 1012) to rows of an Epoch.
#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rtcm/raw_legacy.h"

namespace stillpoint::rtcm {

// One signal of one satellite. The lock time lies in [lock_min_s,
// lock_below_s); the top indicator has no end.
struct LegacyRow {
  SatId sat;
  Observation observation;
  double lock_min_s = 0;
  double lock_below_s = std::numeric_limits<double>::infinity();
  std::optional<int> glonass_channel;
};

// Appends up to two rows (L1, L2) a satellite, in the order of the message.
//
// Without whole light-milliseconds (1001, 1003, 1009, 1011) the code is known
// up to those only and stays missing; the phase is then good up to whole light-
// milliseconds (GLONASS: two of them), which are whole cycles on each carrier.
// A phase that has rolled over differs from the one before by 1500 cycles.
// Left out: satellites outside 1..32 (GPS), 40..58 (SBAS PRN 120..138, L1
// alone, by GPS messages) and slots 1..24 (GLONASS); reserved L2 signals
// (DF046 2, 3).
//
// The standard says that an L1 code without its phase is but the reference for
// L2; receivers send it measured all the same. It is taken where a C/N0 of L1
// stands beside it. A GLONASS channel counts where a phase stands beside it:
// receivers that do not know it yet send 0 (-7) and no phase.
//
// Signals: DF010 0 -> 1C, 1 (P(Y) direct) -> 1P; DF016 0 (C/A or L2C, not told
// apart) -> 2X, 1 (P(Y) direct) -> 2P, 2 (P(Y) cross-correlated) -> 2D,
// 3 (correlated P/Y) -> 2W; DF039 and DF046 0 -> C, 1 -> P.
//
//   source   RTCM 10403.3, DF009 to DF020 and DF038 to DF050, from memory;
//            which RINEX letter a code indicator becomes is our choice
void to_rows(const RawLegacyGps& raw, std::vector<LegacyRow>& rows);
void to_rows(const RawLegacyGlonass& raw, std::vector<LegacyRow>& rows);

// Lock time indicators DF013, DF019, DF043, DF049, 0 .. 127.
//
//   source   RTCM 10403.3, table 3.4-2, from memory; every segment joins the
//            next without a gap (shared checks, rtcm_locktime.json)
double legacy_lock_min_s(unsigned indicator);
double legacy_lock_below_s(unsigned indicator);
// The indicator whose range holds the time; 0 for a negative one and NaN.
unsigned legacy_lock_code(double lock_s);

}  // namespace stillpoint::rtcm
