// Looks for a receiver's reply in its stream while RTCM, NMEA and packets go
// on: only looks, takes nothing. A reply is a line, a whole packet with a good
// checksum, or bytes that belong to no frame; what lies inside an RTCM frame is
// none. What it finds depends on the bytes alone, never on how they were cut.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::profile {

class ReplyWatch final : private FrameSink {
 public:
  // The bytes of the line, of the packet, or those that fit the pattern, valid
  // during the call. It may call expect() and expect_nothing(), nothing else.
  using Found = std::function<void(bool is_refusal, ByteSpan answer)>;
  static constexpr std::size_t kMostOther = 64;

  ReplyWatch(std::vector<MakerFraming> framings, Found found);

  // From the next byte, line or packet on; the patterns outlive the waiting.
  void expect(const ReplyPattern& reply, const ReplyPattern& refusal);
  void expect_nothing();

  void push(ByteSpan bytes);
  // The time is over: looks at what is held because it could be the beginning
  // of something longer, and at a line without its end. Where that is no
  // answer either, nothing has changed.
  void last_look();

  // The first bytes since expect() that are no RTCM, no sentence that a
  // receiver sends on its own, and no answer.
  [[nodiscard]] const std::vector<std::uint8_t>& other() const {
    return seen_.other;
  }

 private:
  void on_frame(const StreamFrame& frame) override;
  void look_at_loose(std::uint64_t end);
  void look_at_byte(std::uint8_t byte);
  void look_at_line(ByteSpan line);
  void look_at_sentence(ByteSpan sentence);
  void look_at_packet(ByteSpan packet);
  void look_at_tail();
  [[nodiscard]] bool begins_packet(const ReplyPattern& pattern) const;
  void keep_other(ByteSpan bytes);
  void forget_decided();
  void found(bool is_refusal, ByteSpan answer);

  // What the stream has told so far.
  struct Seen {
    explicit Seen(const std::vector<MakerFraming>& framings)
        : splitter(framings) {}
    StreamSplitter splitter;
    // Bytes from raw_at on, an offset of the stream; up to `decided` they have
    // been looked at.
    std::vector<std::uint8_t> raw;
    std::uint64_t raw_at = 0, decided = 0;
    std::uint64_t in_frames = 0;     // bytes
    std::vector<std::uint8_t> line;  // since the last line end or frame
    std::vector<std::uint8_t> tail;  // last bytes in no frame, in a row
    std::vector<std::uint8_t> other;
  };

  std::vector<MakerFraming> framings_;
  Found found_;
  Seen seen_;
  bool has_found_ = false;               // during a last look
  const ReplyPattern* reply_ = nullptr;  // nullptr: nothing is expected
  const ReplyPattern* refusal_ = nullptr;
};

}  // namespace stillpoint::profile
