#include "stillpoint/rtcm/peek.h"

#include "stillpoint/core/bits.h"
#include "stillpoint/rtcm/epoch_time.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/raw_msm.h"

namespace stillpoint::rtcm {
namespace {

bool is_legacy_gps(int type) {
  return type >= 1001 && type <= 1004;
}
bool is_legacy_glonass(int type) {
  return type >= 1009 && type <= 1012;
}
bool is_of_station(int type) {
  return (type >= 1005 && type <= 1008) || type == 1013 || type == 1029 ||
         type == 1033 || type == 1230;
}

}  // namespace

std::optional<GnssTime> peek_epoch(ByteSpan payload, GnssTime near) {
  const auto type = message_type(payload);
  if (!type) {
    return std::nullopt;
  }
  BitReader bits(payload);
  bits.skip(24);  // type and station id
  const auto msm = msm_type(*type);
  const bool glonass = is_legacy_glonass(*type);
  const auto field = static_cast<std::uint32_t>(bits.u(glonass ? 27 : 30));
  if (!bits.ok() || !(msm || glonass || is_legacy_gps(*type))) {
    return std::nullopt;
  }
  if (msm) {
    return msm_epoch_time(msm->system, field, near);
  }
  return glonass ? glonass_day_ms_time(field, near) : week_ms_time(field, near);
}

std::optional<int> peek_station_id(ByteSpan payload) {
  const auto type = message_type(payload);
  if (!type || payload.size() < 3 ||
      !(msm_type(*type) || is_legacy_gps(*type) || is_legacy_glonass(*type) ||
        is_of_station(*type))) {
    return std::nullopt;
  }
  return (payload[1] & 0x0F) << 8 | payload[2];
}

}  // namespace stillpoint::rtcm
