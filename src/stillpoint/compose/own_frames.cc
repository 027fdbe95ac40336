#include "stillpoint/compose/own_frames.h"

#include <chrono>
#include <cstddef>

#include "stillpoint/core/check.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/safe_text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::compose {
namespace {

constexpr std::size_t kMaxTextBytes = 255;
constexpr std::size_t kMaxCharacters = 127;
constexpr std::int64_t kMjdOf1970 = 40587;
constexpr std::int64_t kMjdModulus = 65536;  // DF051, 16 bits

struct UtcSecond {
  int mjd = 0;
  int second_of_day = 0;  // 86400 in a leap second
};

UtcSecond utc_second(GnssTime now) {
  const Calendar utc = to_calendar(now, TimeScale::kUtc);
  const std::chrono::sys_days day =
      std::chrono::year{utc.year} / utc.month / utc.day;
  const std::int64_t mjd =
      (day.time_since_epoch().count() + kMjdOf1970) % kMjdModulus;
  return {static_cast<int>(mjd < 0 ? mjd + kMjdModulus : mjd),
          utc.hour * 3600 + utc.minute * 60 + static_cast<int>(utc.second)};
}

bool is_later_byte(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

}  // namespace

Result<std::vector<std::uint8_t>> position_frame(
    const rtcm::StationPosition& position) {
  const auto raw = rtcm::to_raw(position);
  if (!raw) {
    return fail(raw.error());
  }
  return rtcm::make_frame(rtcm::encode_fields(*raw));
}

std::string fitting_text(std::string_view text) {
  std::string safe = rtcm::safe_text(text);
  std::size_t end = 0, characters = 0;
  for (std::size_t at = 0; at < safe.size(); ++characters) {
    std::size_t next = at + 1;
    while (next < safe.size() && is_later_byte(safe[next])) {
      ++next;
    }
    if (next > kMaxTextBytes || characters == kMaxCharacters) {
      break;
    }
    end = at = next;
  }
  safe.resize(end);
  return safe;
}

std::vector<std::uint8_t> text_frame(int station_id,
                                     const std::string& text,
                                     GnssTime now) {
  const UtcSecond utc = utc_second(now);
  rtcm::TextMessage message;
  message.station_id = station_id;
  message.mjd = utc.mjd;
  message.second_of_day = utc.second_of_day;
  message.bytes = text;
  const auto raw = rtcm::to_raw(message);
  STILLPOINT_CHECK(raw.has_value());
  return rtcm::make_frame(rtcm::encode_fields(*raw));
}

}  // namespace stillpoint::compose
