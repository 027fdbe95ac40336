#include "stillpoint/intake/epoch_pace.h"

#include <algorithm>

#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/peek.h"

namespace stillpoint::intake {
namespace {

constexpr double kLongestGapS = 600;

// Size of the frame at the start of the bytes; 0 where there is none.
std::size_t frame_at(ByteSpan bytes) {
  if (bytes.size() < rtcm::kFrameOverhead || bytes[0] != rtcm::kPreamble) {
    return 0;
  }
  const std::size_t size =
      (bytes[1] & 3U) * std::size_t{256} + bytes[2] + rtcm::kFrameOverhead;
  return size <= bytes.size() && rtcm::is_good_frame(bytes.first(size)) ? size
                                                                        : 0;
}

}  // namespace

void EpochPace::reach(GnssTime epoch) {
  const double step_s = epoch_ ? (epoch - *epoch_).s : 0;
  if (step_s > 0 && step_s <= kLongestGapS) {
    due_s_ += step_s;
  }
  epoch_ = epoch;
}

EpochPace::Step EpochPace::next(ByteSpan ahead) {
  if (const std::size_t size = frame_at(ahead); size != 0) {
    const auto epoch =
        rtcm::peek_epoch(rtcm::payload_of(ahead.first(size)),
                         epoch_.value_or(GnssTime::from_gps_week(2400, 0)));
    if (epoch) {
      reach(*epoch);
    }
    return {size, due_s_};
  }
  // Up to the next byte that may begin a frame.
  const auto start = std::find(ahead.begin() + 1, ahead.end(), rtcm::kPreamble);
  return {static_cast<std::size_t>(start - ahead.begin()), due_s_};
}

}  // namespace stillpoint::intake
