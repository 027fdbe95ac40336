// Lock time indicators of MSM, and what they say about a loss of lock.
#pragma once

#include <cstdint>
#include <limits>

namespace stillpoint::rtcm {

// A lock time is known to lie in [at_least_ms, below_ms).
struct LockRange {
  std::int64_t at_least_ms = 0;
  std::int64_t below_ms = std::numeric_limits<std::int64_t>::max();
};

// Range that an indicator stands for.
//
//   source   RTCM 10403.3, tables of DF402 (4 bits) and DF407 (10 bits), from
//            memory; every segment joins the next without a gap (shared
//            checks, rtcm_locktime.json). Reserved DF407 values count as 704.
LockRange coarse_lock_range(unsigned df402);
LockRange fine_lock_range(unsigned df407);

// The smallest indicator whose range begins at or above the time: a lock held
// for a known time reads as held at least that long. The longest code where
// none does.
unsigned coarse_lock_code(std::int64_t lock_ms);
unsigned fine_lock_code(std::int64_t lock_ms);

// Whether the lock may have been lost between two epochs `elapsed_ms` apart:
// it is shorter than what it must have grown to from `before_ms`, the least it
// was then, or it may be younger than the first of the two epochs.
//
//   source   the reasoning of RTCM 10403.3 for DF402 and DF407
bool may_have_lost_lock(std::int64_t before_ms,
                        LockRange now,
                        std::int64_t elapsed_ms);

}  // namespace stillpoint::rtcm
