#include "stillpoint/intake/stream_reader.h"

#include <string_view>

#include "stillpoint/rtcm/frame.h"

namespace stillpoint::intake {

StreamReader::StreamReader(const StreamReaderOptions& options, StreamSink& sink)
    : sink_(sink),
      splitter_(options.framings),
      decoder_(options.decoder, sink) {}

void StreamReader::push(ByteSpan bytes, std::optional<GnssTime> received) {
  received_ = received;
  splitter_.push(bytes, *this);
}

void StreamReader::finish() {
  splitter_.finish(*this);
  decoder_.finish();
}

void StreamReader::on_frame(const profile::StreamFrame& frame) {
  switch (frame.kind) {
    case profile::FrameKind::kRtcm: {
      const ByteSpan payload = rtcm::payload_of(frame.bytes);
      sink_.on_rtcm(rtcm::message_type(payload), frame.bytes);
      if (decoder_.push(payload, received_) == rtcm::Decoded::kMalformed) {
        ++malformed_;
      }
      break;
    }
    case profile::FrameKind::kNmea: {
      const std::string_view text(
          reinterpret_cast<const char*>(frame.bytes.data()),
          frame.bytes.size());
      if (const auto sentence = nmea::parse_sentence(text)) {
        sink_.on_nmea(*sentence);
      } else {
        ++malformed_;
      }
      break;
    }
    case profile::FrameKind::kMaker:
      break;  // counted by the splitter
  }
}

bool looks_like_capture(ByteSpan head) {
  class Any final : public profile::FrameSink {
   public:
    void on_frame(const profile::StreamFrame& frame) override {
      found = found || frame.kind == profile::FrameKind::kRtcm;
    }
    bool found = false;
  } any;
  profile::StreamSplitter splitter;
  splitter.push(head, any);
  return any.found;
}

}  // namespace stillpoint::intake
