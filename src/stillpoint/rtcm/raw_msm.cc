#include "stillpoint/rtcm/raw_msm.h"

#include <bit>
#include <cstring>

namespace stillpoint::rtcm {
namespace {

// By the tens digit of the number: 107x GPS … 113x NavIC.
constexpr std::array<System, kSystemCount> kByNumber{System::kGps,
                                                     System::kGlonass,
                                                     System::kGalileo,
                                                     System::kSbas,
                                                     System::kQzss,
                                                     System::kBeidou,
                                                     System::kNavic};
constexpr int kFirstNumber = 1070;
constexpr std::size_t kHeaderBits = 169;

struct Widths {
  unsigned code, phase, lock, cn0;
};
constexpr Widths widths_of(int level) {
  return msm_is_fine(level) ? Widths{20, 24, 10, 10} : Widths{15, 22, 4, 6};
}

// Bits behind the header: cell mask, satellites, cells.
std::size_t body_bits(int level,
                      std::size_t satellites,
                      std::size_t signals,
                      std::size_t cells) {
  const Widths w = widths_of(level);
  const std::size_t satellite_bits = 10U + (msm_has_whole_ms(level) ? 8U : 0U) +
                                     (msm_has_rates(level) ? 18U : 0U);
  const std::size_t cell_bits =
      (msm_has_code(level) ? w.code : 0U) +
      (msm_has_phase(level) ? w.phase + w.lock + 1U : 0U) +
      (msm_has_cn0(level) ? w.cn0 : 0U) + (msm_has_rates(level) ? 15U : 0U);
  return satellites * signals + satellites * satellite_bits + cells * cell_bits;
}

// Reads without a check a field: the payload lies in a buffer with eight spare
// bytes, and the message's length has been checked before.
class OpenReader {
 public:
  explicit OpenReader(const std::uint8_t* bytes) : bytes_(bytes) {}
  [[nodiscard]] std::size_t position() const { return at_; }

  // 1 .. 57 bits.
  std::uint64_t u(unsigned bits) {
    const std::uint64_t window =
        detail::load_be_unchecked<std::uint64_t>(bytes_ + at_ / 8);
    const std::uint64_t value = window << (at_ % 8) >> (64 - bits);
    at_ += bits;
    return value;
  }
  std::int64_t s(unsigned bits) {
    const std::uint64_t window =
        detail::load_be_unchecked<std::uint64_t>(bytes_ + at_ / 8);
    const auto value =
        static_cast<std::int64_t>(window << (at_ % 8)) >> (64 - bits);
    at_ += bits;
    return value;
  }
  std::uint64_t u64() {
    const std::uint64_t high = u(32);
    return high << 32 | u(32);
  }

 private:
  const std::uint8_t* bytes_;
  std::size_t at_ = 0;
};

void read_header(OpenReader& in, RawMsm& m) {
  m.type = static_cast<std::uint16_t>(in.u(12));
  m.station_id = static_cast<std::uint16_t>(in.u(12));
  m.epoch = static_cast<std::uint32_t>(in.u(30));
  m.multiple = in.u(1) != 0;
  m.iods = static_cast<std::uint8_t>(in.u(3));
  m.reserved = static_cast<std::uint8_t>(in.u(7));
  m.clock_steering = static_cast<std::uint8_t>(in.u(2));
  m.external_clock = static_cast<std::uint8_t>(in.u(2));
  m.smoothing = in.u(1) != 0;
  m.smoothing_interval = static_cast<std::uint8_t>(in.u(3));
  m.satellite_mask = in.u64();
  m.signal_mask = static_cast<std::uint32_t>(in.u(32));
}

void read_satellites(OpenReader& in, int level, unsigned count, RawMsm& m) {
  if (msm_has_whole_ms(level)) {
    for (unsigned i = 0; i < count; ++i) {
      m.satellites[i].whole_ms = static_cast<std::uint8_t>(in.u(8));
    }
  }
  if (msm_has_rates(level)) {
    for (unsigned i = 0; i < count; ++i) {
      m.satellites[i].extended = static_cast<std::uint8_t>(in.u(4));
    }
  }
  for (unsigned i = 0; i < count; ++i) {
    m.satellites[i].modulo = static_cast<std::uint16_t>(in.u(10));
  }
  if (msm_has_rates(level)) {
    for (unsigned i = 0; i < count; ++i) {
      m.satellites[i].rough_rate = static_cast<std::int16_t>(in.s(14));
    }
  }
}

void read_cells(OpenReader& in, int level, unsigned count, RawMsm& m) {
  const Widths w = widths_of(level);
  if (msm_has_code(level)) {
    for (unsigned i = 0; i < count; ++i) {
      m.cells[i].code = static_cast<std::int32_t>(in.s(w.code));
    }
  }
  if (msm_has_phase(level)) {
    for (unsigned i = 0; i < count; ++i) {
      m.cells[i].phase = static_cast<std::int32_t>(in.s(w.phase));
    }
    for (unsigned i = 0; i < count; ++i) {
      m.cells[i].lock = static_cast<std::uint16_t>(in.u(w.lock));
    }
    for (unsigned i = 0; i < count; ++i) {
      m.cells[i].half_cycle = in.u(1) != 0;
    }
  }
  if (msm_has_cn0(level)) {
    for (unsigned i = 0; i < count; ++i) {
      m.cells[i].cn0 = static_cast<std::uint16_t>(in.u(w.cn0));
    }
  }
  if (msm_has_rates(level)) {
    for (unsigned i = 0; i < count; ++i) {
      m.cells[i].fine_rate = static_cast<std::int16_t>(in.s(15));
    }
  }
}

void read_rest(OpenReader& in, std::size_t size_bytes, Rest& rest) {
  const std::size_t left = size_bytes * 8 - in.position();
  const auto pad = static_cast<unsigned>(left % 8);
  rest.pad = pad == 0 ? std::uint8_t{0} : static_cast<std::uint8_t>(in.u(pad));
  rest.more.resize(left / 8);
  for (std::uint8_t& byte : rest.more) {
    byte = static_cast<std::uint8_t>(in.u(8));
  }
}

void write_header(BitWriter& out, const RawMsm& m) {
  out.u(m.type, 12);
  out.u(m.station_id, 12);
  out.u(m.epoch, 30);
  out.flag(m.multiple);
  out.u(m.iods, 3);
  out.u(m.reserved, 7);
  out.u(m.clock_steering, 2);
  out.u(m.external_clock, 2);
  out.flag(m.smoothing);
  out.u(m.smoothing_interval, 3);
  out.u(m.satellite_mask, 64);
  out.u(m.signal_mask, 32);
}

// The items of one field of all satellites or cells.
template <class Items, class Write>
void each(const Items& items, unsigned count, bool wanted, Write write) {
  for (unsigned i = 0; wanted && i < count; ++i) {
    write(items[i]);
  }
}

void write_body(BitWriter& out, int level, const RawMsm& m) {
  const unsigned sats = m.satellite_count();
  const unsigned cells = m.cell_count();
  const Widths w = widths_of(level);
  const bool rates = msm_has_rates(level);
  const bool phase = msm_has_phase(level);
  const auto& s = m.satellites;
  const auto& c = m.cells;
  each(
      s, sats, msm_has_whole_ms(level), [&](auto& x) { out.u(x.whole_ms, 8); });
  each(s, sats, rates, [&](auto& x) { out.u(x.extended, 4); });
  each(s, sats, true, [&](auto& x) { out.u(x.modulo, 10); });
  each(s, sats, rates, [&](auto& x) { out.s(x.rough_rate, 14); });
  each(c, cells, msm_has_code(level), [&](auto& x) { out.s(x.code, w.code); });
  each(c, cells, phase, [&](auto& x) { out.s(x.phase, w.phase); });
  each(c, cells, phase, [&](auto& x) { out.u(x.lock, w.lock); });
  each(c, cells, phase, [&](auto& x) { out.flag(x.half_cycle); });
  each(c, cells, msm_has_cn0(level), [&](auto& x) { out.u(x.cn0, w.cn0); });
  each(c, cells, rates, [&](auto& x) { out.s(x.fine_rate, 15); });
}

}  // namespace

std::optional<MsmType> msm_type(int message_type) {
  const int tens = message_type / 10 - kFirstNumber / 10;
  const int level = message_type % 10;
  if (message_type < kFirstNumber || tens >= kSystemCount || level < 1 ||
      level > 7) {
    return std::nullopt;
  }
  return MsmType{kByNumber[static_cast<std::size_t>(tens)], level};
}

int msm_number(MsmType type) {
  int number = kFirstNumber + type.level;
  for (const System system : kByNumber) {
    if (system == type.system) {
      break;
    }
    number += 10;
  }
  return number;
}

unsigned RawMsm::satellite_count() const {
  return static_cast<unsigned>(std::popcount(satellite_mask));
}

unsigned RawMsm::signal_count() const {
  return static_cast<unsigned>(std::popcount(signal_mask));
}

unsigned RawMsm::cell_count() const {
  return static_cast<unsigned>(std::popcount(cell_mask));
}

bool decode_msm(ByteSpan payload, RawMsm& msm) {
  if (payload.size() * 8 < kHeaderBits || payload.size() > kMaxPayload) {
    return false;
  }
  std::array<std::uint8_t, kMaxPayload + 8> buffer;
  std::memcpy(buffer.data(), payload.data(), payload.size());
  std::memset(buffer.data() + payload.size(), 0, 8);
  OpenReader in(buffer.data());
  read_header(in, msm);
  const auto type = msm_type(msm.type);
  const unsigned sats = msm.satellite_count();
  const unsigned signals = msm.signal_count();
  const unsigned mask_bits = sats * signals;
  if (!type || mask_bits > 64 ||
      payload.size() * 8 <
          kHeaderBits + body_bits(type->level, sats, signals, 0)) {
    return false;
  }
  msm.cell_mask = 0;
  for (unsigned i = 0; i < mask_bits; i += 32) {
    const unsigned n = mask_bits - i < 32 ? mask_bits - i : 32;
    msm.cell_mask |= in.u(n) << (64 - n) >> i;
  }
  const unsigned cells = msm.cell_count();
  if (payload.size() * 8 <
      kHeaderBits + body_bits(type->level, sats, signals, cells)) {
    return false;
  }
  read_satellites(in, type->level, sats, msm);
  read_cells(in, type->level, cells, msm);
  read_rest(in, payload.size(), msm.rest);
  return true;
}

std::vector<std::uint8_t> encode_msm(const RawMsm& msm) {
  const auto type = msm_type(msm.type);
  const unsigned mask_bits = msm.satellite_count() * msm.signal_count();
  if (!type || mask_bits > 64) {
    return {};
  }
  std::vector<std::uint8_t> payload(kMaxPayload);
  BitWriter out(payload);
  write_header(out, msm);
  if (mask_bits > 0) {
    out.u(msm.cell_mask >> (64 - mask_bits), mask_bits);
  }
  write_body(out, type->level, msm);
  out.u(msm.rest.pad, static_cast<unsigned>((8 - out.position_bits() % 8) % 8));
  for (const std::uint8_t byte : msm.rest.more) {
    out.u(byte, 8);
  }
  payload.resize(out.ok() ? (out.position_bits() + 7) / 8 : 0);
  return payload;
}

}  // namespace stillpoint::rtcm
