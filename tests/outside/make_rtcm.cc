// Test program: messages that our raw layer encodes, of every type that it
// knows, with what was put into each; a general-purpose library must read the
// same out of them.
//
//   make_rtcm SEED ROUNDS
//
// Each type comes with the least, the greatest, the most negative and ROUNDS
// times random values in all its fields; nothing is a sky or a station. The
// same numbers give the same bytes everywhere. For each message
//   frame HEX
// and lines of fields as of dump_rtcm. Exit: 0; 2 usage; 4 a message that
// cannot be encoded, or that has a field that rtcm_fields.cc does not name.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "rtcm_fields.h"
#include "stillpoint/rtcm/frame.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::rtcm;

// kLeast: every field, so that lists are empty. kNegative: the least of what
// has a sign, the greatest of what has none.
enum class Values { kLeast, kGreatest, kNegative, kRandom };

// Numbers for fields; no standard distribution, which may differ by library.
class Source {
 public:
  Source(std::uint64_t seed, Values values) : random_(seed), values_(values) {}

  std::uint64_t bits(unsigned count) {
    const std::uint64_t all = ~std::uint64_t{0} >> (64 - count);
    switch (values_) {
      case Values::kLeast:
        return 0;
      case Values::kGreatest:
      case Values::kNegative:
        return all;
      case Values::kRandom:
        break;
    }
    return random_() & all;
  }
  std::int64_t two_complement(unsigned count) {
    const std::uint64_t above = values_ == Values::kNegative ? 0 : bits(count);
    return static_cast<std::int64_t>(above) - (std::int64_t{1} << (count - 1));
  }
  // 0 .. most.
  std::size_t up_to(std::size_t most) {
    switch (values_) {
      case Values::kLeast:
        return 0;
      case Values::kGreatest:
      case Values::kNegative:
        return most;
      case Values::kRandom:
        break;
    }
    return random_() % (most + 1);
  }
  [[nodiscard]] Values values() const { return values_; }

 private:
  std::mt19937_64 random_;
  Values values_;
};

// Fills a message by its own list of fields. The first one is the number.
class FieldFiller {
 public:
  explicit FieldFiller(Source& source) : source_(source) {}

  template <class T>
  void u(T& value, unsigned bits) {
    if (number_) {
      number_ = false;
    } else {
      value = static_cast<T>(source_.bits(bits));
    }
  }
  template <class T>
  void s(T& value, unsigned bits) {
    value = static_cast<T>(source_.two_complement(bits));
  }
  void sm(SignMagnitude& field, unsigned bits) {
    const std::int64_t value = source_.two_complement(bits);
    // One of two's complement has no opposite.
    field =
        SignMagnitude::of(std::max(value, 1 - (std::int64_t{1} << (bits - 1))));
  }
  template <class T, class Each>
  void list(std::vector<T>& items, std::size_t count, Each each) {
    items.resize(count);
    for (T& item : items) {
      each(*this, item);
    }
  }
  // Five texts of this length fit into a frame. No NUL: the library drops it.
  void text(std::string& value) {
    value.resize(source_.up_to(200));
    for (char& c : value) {
      c = static_cast<char>(std::max<std::uint64_t>(source_.bits(8), 1));
    }
  }
  void rest(Rest&) {}

 private:
  Source& source_;
  bool number_ = true;
};

template <class Message>
void fill(Message& m, Source& source) {
  FieldFiller filler(source);
  fields(filler, m);
}

std::uint64_t highest(std::size_t count, std::size_t width) {
  return count == 0 ? 0
                    : (~std::uint64_t{0} >> (64 - count)) << (width - count);
}

// `count` of `width` places, anywhere.
std::uint64_t scattered(Source& source, std::size_t count, std::size_t width) {
  std::uint64_t mask = highest(count, width);
  for (std::size_t i = width; i > 1 && count > 0; --i) {
    const std::size_t j = source.up_to(i - 1);
    const std::uint64_t differ = (mask >> (i - 1) ^ mask >> j) & 1U;
    mask ^= differ << (i - 1) ^ differ << j;
  }
  return mask;
}

// Satellites and signals: one cell, the most of either, or what dice give,
// cells without satellites included.
void shape(RawMsm& m, Source& source) {
  std::size_t satellites = 1, signals = 1;
  if (source.values() == Values::kGreatest ||
      source.values() == Values::kNegative) {
    satellites = m.type % 2 == 0 ? 64 : 2;
    signals = 64 / satellites;
  } else if (source.values() == Values::kRandom) {
    satellites = source.up_to(12);
    signals = source.up_to(5);
  }
  m.satellite_mask = scattered(source, satellites, 64);
  m.signal_mask = static_cast<std::uint32_t>(scattered(source, signals, 32));
  const std::size_t places = satellites * signals;
  m.cell_mask =
      places == 0 ? 0 : (source.bits(64) | 1ULL << 63) & highest(places, 64);
}

void fill(RawMsm& m, Source& source) {
  const int level = msm_type(m.type)->level;
  shape(m, source);
  m.station_id = static_cast<std::uint16_t>(source.bits(12));
  m.epoch = static_cast<std::uint32_t>(source.bits(30));
  m.multiple = source.bits(1) != 0;
  m.iods = static_cast<std::uint8_t>(source.bits(3));
  m.reserved = static_cast<std::uint8_t>(source.bits(7));
  m.clock_steering = static_cast<std::uint8_t>(source.bits(2));
  m.external_clock = static_cast<std::uint8_t>(source.bits(2));
  m.smoothing = source.bits(1) != 0;
  m.smoothing_interval = static_cast<std::uint8_t>(source.bits(3));
  for (RawMsmSatellite& s : m.satellites) {
    s.whole_ms = static_cast<std::uint8_t>(source.bits(8));
    s.extended = static_cast<std::uint8_t>(source.bits(4));
    s.modulo = static_cast<std::uint16_t>(source.bits(10));
    s.rough_rate = static_cast<std::int16_t>(source.two_complement(14));
  }
  const bool fine = msm_is_fine(level);
  for (RawMsmCell& c : m.cells) {
    c.code = static_cast<std::int32_t>(source.two_complement(fine ? 20 : 15));
    c.phase = static_cast<std::int32_t>(source.two_complement(fine ? 24 : 22));
    c.lock = static_cast<std::uint16_t>(source.bits(fine ? 10 : 4));
    c.cn0 = static_cast<std::uint16_t>(source.bits(fine ? 10 : 6));
    c.fine_rate = static_cast<std::int16_t>(source.two_complement(15));
    c.half_cycle = source.bits(1) != 0;
  }
}

std::vector<std::uint8_t> encode(const RawMsm& m) {
  return encode_msm(m);
}

template <class Message>
std::vector<std::uint8_t> encode(const Message& m) {
  return encode_fields(m);
}

void make(int type, Source source) {
  outside::with_message(type, [&](auto message) {
    fill(message, source);
    const std::vector<std::uint8_t> payload = encode(message);
    outside::Fields out;
    if (payload.empty() || !outside::visit_all(out, message)) {
      std::fprintf(stderr, "%d: not encoded, or fields without a name\n", type);
      std::exit(4);
    }
    std::fputs("frame ", stdout);
    for (const std::uint8_t byte : make_frame(payload)) {
      std::printf("%02x", byte);
    }
    std::printf("\n%s", out.take().c_str());
  });
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("usage: make_rtcm SEED ROUNDS\n", stderr);
    return 2;
  }
  const std::uint64_t seed = std::strtoull(argv[1], nullptr, 10);
  const std::uint64_t rounds = std::strtoull(argv[2], nullptr, 10);
  for (int type = 0; type < 4096; ++type) {
    const std::uint64_t own = (seed << 12 | static_cast<unsigned>(type)) << 20;
    make(type, Source(own, Values::kLeast));
    make(type, Source(own, Values::kGreatest));
    make(type, Source(own, Values::kNegative));
    for (std::uint64_t k = 0; k < rounds; ++k) {
      make(type, Source(own + k, Values::kRandom));
    }
  }
  return 0;
}
