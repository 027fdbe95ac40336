// Multiple Signal Messages, the raw layer: MSM1 to MSM7 of seven systems as the
// integers on the wire.
//
//   source   RTCM 10403.3, MSM headers and tables (layout: shared checks
//            section 5; two independent decoders agree)
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/rtcm/wire.h"

namespace stillpoint::rtcm {

// Which system and level (1 .. 7) a message number means; nothing for a number
// that is no MSM.
struct MsmType {
  System system = System::kGps;
  int level = 0;
  friend bool operator==(const MsmType&, const MsmType&) = default;
};
std::optional<MsmType> msm_type(int message_type);
int msm_number(MsmType type);  // the reverse

// Which fields a level carries.
constexpr bool msm_has_whole_ms(int level) {
  return level >= 4;
}
constexpr bool msm_has_rates(int level) {
  return level == 5 || level == 7;
}
constexpr bool msm_has_code(int level) {
  return level != 2;
}
constexpr bool msm_has_phase(int level) {
  return level >= 2;
}
constexpr bool msm_has_cn0(int level) {
  return level >= 4;
}
// DF405 to DF408 instead of DF400 to DF403.
constexpr bool msm_is_fine(int level) {
  return level >= 6;
}

// Values that mean "not measured", by field.
inline constexpr std::uint8_t kNoWholeMs = 255;       // DF397
inline constexpr std::int16_t kNoRoughRate = -8192;   // DF399
inline constexpr std::int32_t kNoCode15 = -16384;     // DF400
inline constexpr std::int32_t kNoPhase22 = -2097152;  // DF401
inline constexpr std::int16_t kNoFineRate = -16384;   // DF404
inline constexpr std::int32_t kNoCode20 = -524288;    // DF405
inline constexpr std::int32_t kNoPhase24 = -8388608;  // DF406

struct RawMsmSatellite {
  std::uint8_t whole_ms = 0;    // DF397 [ms]
  std::uint8_t extended = 0;    // GLONASS: frequency channel + 7, 15 unknown
  std::uint16_t modulo = 0;     // DF398 [2^-10 ms]
  std::int16_t rough_rate = 0;  // DF399 [m/s]
  friend bool operator==(const RawMsmSatellite&,
                         const RawMsmSatellite&) = default;
};

struct RawMsmCell {
  std::int32_t code = 0;       // DF400 [2^-24 ms] or DF405 [2^-29 ms]
  std::int32_t phase = 0;      // DF401 [2^-29 ms] or DF406 [2^-31 ms]
  std::uint16_t lock = 0;      // DF402 or DF407
  std::uint16_t cn0 = 0;       // DF403 [dB-Hz] or DF408 [2^-4 dB-Hz], 0 none
  std::int16_t fine_rate = 0;  // DF404 [1e-4 m/s]
  bool half_cycle = false;     // DF420
  friend bool operator==(const RawMsmCell&, const RawMsmCell&) = default;
};

// Satellites and cells of the masks, in the masks' order; slots behind the
// counts keep whatever they held.
struct RawMsm {
  std::uint16_t type = 0;
  std::uint16_t station_id = 0;
  std::uint32_t epoch = 0;  // 30 bits, by system; see epoch_time.h
  bool multiple = false;    // DF393: more messages of this epoch follow
  std::uint8_t iods = 0;
  std::uint8_t reserved = 0;
  std::uint8_t clock_steering = 0;
  std::uint8_t external_clock = 0;
  bool smoothing = false;
  std::uint8_t smoothing_interval = 0;
  std::uint64_t satellite_mask = 0;  // highest bit: satellite 1
  std::uint32_t signal_mask = 0;     // highest bit: signal 1
  // Satellite by satellite, highest bit first: bit 63 is the first satellite's
  // first signal. Bits behind the last cell are zero.
  std::uint64_t cell_mask = 0;
  std::array<RawMsmSatellite, 64> satellites;
  std::array<RawMsmCell, 64> cells;
  Rest rest;

  [[nodiscard]] unsigned satellite_count() const;
  [[nodiscard]] unsigned signal_count() const;
  [[nodiscard]] unsigned cell_count() const;
};

// Reads a payload; false for a type that is no MSM, masks that give more than
// 64 cells, or a payload that ends before its fields. Fast: a length check per
// message, none per field.
[[nodiscard]] bool decode_msm(ByteSpan payload, RawMsm& msm);

// Payload; empty where a value does not fit its field, the masks give more
// than 64 cells or the message is too long for a frame.
[[nodiscard]] std::vector<std::uint8_t> encode_msm(const RawMsm& msm);

}  // namespace stillpoint::rtcm
