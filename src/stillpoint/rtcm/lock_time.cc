#include "stillpoint/rtcm/lock_time.h"

#include <algorithm>

namespace stillpoint::rtcm {
namespace {

constexpr unsigned kCoarseTop = 15;
constexpr unsigned kFineTop = 704;
constexpr std::int64_t kCoarseFirstMs = 32;

// DF407: 64 codes of 1 ms, then 32 codes a step, the step doubling each time.
constexpr std::int64_t fine_start_ms(unsigned code) {
  if (code < 64) {
    return code;
  }
  const unsigned doublings = (code - 32) / 32;
  const std::int64_t within = code % 32 + 32;
  return within << doublings;
}
static_assert(fine_start_ms(64) == 64 && fine_start_ms(95) == 126 &&
              fine_start_ms(96) == 128 && fine_start_ms(704) == 67'108'864);

constexpr std::int64_t coarse_start_ms(unsigned code) {
  return code == 0 ? 0 : kCoarseFirstMs << (code - 1);
}

}  // namespace

LockRange coarse_lock_range(unsigned df402) {
  const unsigned code = std::min(df402, kCoarseTop);
  LockRange range{coarse_start_ms(code)};
  if (code < kCoarseTop) {
    range.below_ms = coarse_start_ms(code + 1);
  }
  return range;
}

LockRange fine_lock_range(unsigned df407) {
  const unsigned code = std::min(df407, kFineTop);
  LockRange range{fine_start_ms(code)};
  if (code < kFineTop) {
    range.below_ms = fine_start_ms(code + 1);
  }
  return range;
}

unsigned coarse_lock_code(std::int64_t lock_ms) {
  unsigned code = 0;
  while (code < kCoarseTop && coarse_start_ms(code) < lock_ms) {
    ++code;
  }
  return code;
}

unsigned fine_lock_code(std::int64_t lock_ms) {
  unsigned low = 0;
  unsigned high = kFineTop;
  while (low < high) {
    const unsigned middle = (low + high) / 2;
    if (fine_start_ms(middle) < lock_ms) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

bool may_have_lost_lock(std::int64_t before_ms,
                        LockRange now,
                        std::int64_t elapsed_ms) {
  const bool too_short = now.below_ms <= before_ms + elapsed_ms;
  const bool may_be_younger = now.at_least_ms < elapsed_ms;
  return too_short || may_be_younger;
}

}  // namespace stillpoint::rtcm
