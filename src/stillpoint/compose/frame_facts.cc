#include "stillpoint/compose/frame_facts.h"

#include "stillpoint/core/bits.h"
#include "stillpoint/core/check.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/peek.h"
#include "stillpoint/rtcm/raw_msm.h"

namespace stillpoint::compose {
namespace {

std::optional<System> observed_system(int type) {
  if (type >= 1001 && type <= 1004) {
    return System::kGps;
  }
  if (type >= 1009 && type <= 1012) {
    return System::kGlonass;
  }
  const auto msm = rtcm::msm_type(type);
  return msm ? std::optional(msm->system) : std::nullopt;
}

// A payload that ends before its bit reads as the last of its epoch.
FrameFacts::Observation observation(int type, System system, ByteSpan payload) {
  BitReader bits(payload);
  bits.skip(24);  // type and station id
  FrameFacts::Observation o;
  o.system = system;
  const bool by_day = type >= 1009 && type <= 1012;  // DF034
  o.epoch = static_cast<std::uint32_t>(bits.u(by_day ? 27 : 30));
  o.more_bit = bits.position_bits();
  o.more_follows = bits.flag();
  return o;
}

}  // namespace

bool is_observation_type(int type) {
  return observed_system(type).has_value();
}

FrameFacts frame_facts(ByteSpan frame) {
  FrameFacts facts;
  const ByteSpan payload = rtcm::payload_of(frame);
  const auto type = rtcm::message_type(payload);
  if (!type) {
    return facts;
  }
  facts.type = *type;
  facts.station_id = rtcm::peek_station_id(payload);
  facts.position = *type == 1005 || *type == 1006 || *type == 1032;
  if (const auto system = observed_system(*type)) {
    facts.observation = observation(*type, *system, payload);
  }
  return facts;
}

std::vector<std::uint8_t> changed_frame(ByteSpan frame,
                                        const FrameFacts& facts,
                                        const FrameChange& change) {
  const ByteSpan payload = rtcm::payload_of(frame);
  std::vector<std::uint8_t> made(payload.begin(), payload.end());
  if (change.station_id && facts.station_id) {
    STILLPOINT_CHECK(*change.station_id >= 0 && *change.station_id <= 4095);
    const auto id = static_cast<unsigned>(*change.station_id);
    made.at(1) = static_cast<std::uint8_t>((made[1] & 0xF0U) | id >> 8);
    made.at(2) = static_cast<std::uint8_t>(id & 0xFFU);
  }
  if (change.ends_epoch && facts.observation &&
      facts.observation->more_follows) {
    const std::size_t bit = facts.observation->more_bit;
    made.at(bit / 8) =
        static_cast<std::uint8_t>(made[bit / 8] & ~(0x80U >> (bit % 8)));
  }
  return rtcm::make_frame(made);
}

}  // namespace stillpoint::compose
