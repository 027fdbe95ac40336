// Any bytes as a stream of RTCM frames and orders to the composer. The first
// byte says which options it is given; then come items: a byte that says what,
// and what that takes. Oracle: what leaves are whole, good frames; positions
// and observations obey the gate and the broadcast; the counts add up; and a
// composer that was asked for nothing gives every byte back.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/compose/composer.h"
#include "stillpoint/compose/frame_facts.h"
#include "stillpoint/core/check.h"
#include "stillpoint/rtcm/frame.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::compose;
using Bytes = std::vector<std::uint8_t>;

class Input {
 public:
  explicit Input(ByteSpan bytes) : bytes_(bytes) {}
  [[nodiscard]] bool empty() const { return bytes_.empty(); }
  std::uint8_t byte() {
    const std::uint8_t b = bytes_.empty() ? std::uint8_t{0} : bytes_[0];
    bytes_ = bytes_.subspan(bytes_.empty() ? 0 : 1);
    return b;
  }
  ByteSpan take(std::size_t count) {
    const ByteSpan taken = bytes_.first(std::min(count, bytes_.size()));
    bytes_ = bytes_.subspan(taken.size());
    return taken;
  }

 private:
  ByteSpan bytes_;
};

struct Wishes {
  bool observations = true, position = true, broadcast = false;
};

void check_position(int type, const Wishes& wishes) {
  if (type == 1005 || type == 1006 || type == 1032) {
    STILLPOINT_CHECK(wishes.position);
  }
}

// What left with one frame or none.
std::size_t check_out(ByteSpan out, const Wishes& wishes) {
  std::size_t frames = 0;
  while (!out.empty()) {
    STILLPOINT_CHECK(out.size() >= rtcm::kFrameOverhead);
    const std::size_t size =
        (out[1] & 3U) * std::size_t{256} + out[2] + rtcm::kFrameOverhead;
    STILLPOINT_CHECK(size <= out.size());
    const Bytes frame(out.begin(),
                      out.begin() + static_cast<std::ptrdiff_t>(size));
    STILLPOINT_CHECK(rtcm::is_good_frame(frame));
    const ByteSpan payload = rtcm::payload_of(frame);
    const int type = rtcm::message_type(payload).value_or(0);
    check_position(type, wishes);
    STILLPOINT_CHECK(wishes.observations || !is_observation_type(type));
    out = out.subspan(size);
    ++frames;
  }
  return frames;
}

ComposerOptions options_of(std::uint8_t choice) {
  ComposerOptions options;
  if ((choice & 1U) != 0) {
    options.drop = {1127, 1019};
  }
  if ((choice & 2U) != 0) {
    options.drop.push_back(1005);
  }
  if ((choice & 4U) != 0) {
    options.station_id = 1234;
  }
  options.position_every_s = 1 + (choice >> 4);
  options.notice_every_s = 1 + (choice >> 5);
  return options;
}

Ecef place(Input& input) {
  const auto coordinate = [&input] {
    return (input.byte() - 128) * 1.1e5 + input.byte() * 1e-4;
  };
  const double x_m = coordinate(), y_m = coordinate();
  return {x_m, y_m, coordinate()};
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  Input input(ByteSpan(data, size));
  Composer composer(options_of(input.byte()));
  Composer plain;
  Wishes wishes;
  std::uint64_t frames = 0, left = 0;
  double steady_s = 0;
  while (!input.empty()) {
    const std::uint8_t what = input.byte();
    const std::optional<GnssTime> now =
        (what & 0x80U) != 0
            ? std::nullopt
            : std::optional(GnssTime::from_gps_week(2300, steady_s));
    steady_s += (what & 0x70U) * 0.02;
    Bytes out;
    switch (what & 7U) {
      case 0:
        wishes.observations = (what & 8U) == 0;
        wishes.position = input.byte() % 2 == 0;
        composer.set_gate(wishes.observations, wishes.position);
        break;
      case 1: {
        Broadcast broadcast{.arp_m = place(input)};
        if ((what & 8U) != 0) {
          broadcast.antenna_height_m = input.byte() * 0.03;
        }
        wishes.broadcast |= composer.set_broadcast(broadcast).has_value();
        break;
      }
      case 2:
        STILLPOINT_CHECK(composer.set_broadcast(std::nullopt).has_value());
        wishes.broadcast = false;
        break;
      case 3: {
        const ByteSpan text = input.take(input.byte());
        composer.set_notice({text.begin(), text.end()});
        break;
      }
      case 4:
        composer.on_quiet(steady_s, now, out);
        break;
      default: {
        const std::size_t wanted = (what & 8U) * std::size_t{32} + input.byte();
        const Bytes frame = rtcm::make_frame(input.take(wanted));
        Bytes same;
        plain.on_frame(frame, steady_s, now, same);
        STILLPOINT_CHECK(same == frame);
        composer.on_frame(frame, steady_s, now, out);
        ++frames;
        const FrameFacts facts = frame_facts(frame);
        if (facts.position && wishes.broadcast) {
          STILLPOINT_CHECK(
              std::search(out.begin(), out.end(), frame.begin(), frame.end()) ==
                  out.end() ||
              frame.size() < 25);
        }
        break;
      }
    }
    left += check_out(out, wishes);
    const ComposerCounts& c = composer.counts();
    STILLPOINT_CHECK(left == c.passed + c.inserted);
    const std::uint64_t gone = c.passed + c.dropped + c.withheld + c.replaced;
    STILLPOINT_CHECK(gone == frames || gone + 1 == frames);  // one kept back
  }
  return 0;
}
