#include "stillpoint/people/refusal_log.h"

#include <utility>

namespace stillpoint::people {
namespace {

constexpr double kHourS = 3600;

}  // namespace

bool RefusalLog::hour_is_over(GnssTime now) const {
  return !begun_ || now < begin_ || now - begin_ >= Duration{kHourS};
}

void RefusalLog::begin_if_over(GnssTime now) {
  if (hour_is_over(now)) {
    begun_ = true;
    begin_ = now;
    entries_ = 0;
  }
}

bool RefusalLog::admit(GnssTime now) {
  begin_if_over(now);
  if (entries_ < kMostAnHour) {
    ++entries_;
    return true;
  }
  ++left_out_;
  return false;
}

void RefusalLog::leave_out(GnssTime now) {
  begin_if_over(now);
  ++left_out_;
}

std::optional<std::int64_t> RefusalLog::take_left_out(GnssTime now) {
  if (left_out_ == 0 || !hour_is_over(now)) {
    return std::nullopt;
  }
  return std::exchange(left_out_, 0);
}

}  // namespace stillpoint::people
