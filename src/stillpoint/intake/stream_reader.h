// Bytes of a receiver or caster in, values out: the splitter, the RTCM decoder
// and NMEA behind one push().
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/nmea/sentence.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/rtcm/decoder.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::intake {

// Adds to the decoder's values what frames they came from.
class StreamSink : public rtcm::DecoderSink {
 public:
  // A whole RTCM frame with a good CRC, before its values; `type` is missing
  // for a frame of length 0.
  virtual void on_rtcm(std::optional<int> /*type*/, ByteSpan /*frame*/) {}
  virtual void on_nmea(const nmea::Sentence& /*sentence*/) {}
};

struct StreamReaderOptions {
  rtcm::DecoderOptions decoder;
  std::vector<profile::MakerFraming> framings;
};

struct StreamCounts {
  profile::SplitCounts split;
  // Good checksum, but the content cannot be read.
  std::uint64_t malformed = 0;
};

class StreamReader final : private profile::FrameSink {
 public:
  // The sink outlives the reader.
  StreamReader(const StreamReaderOptions& options, StreamSink& sink);

  //   received  when the bytes came; nothing for a file, whose reading says
  //             nothing about its time
  void push(ByteSpan bytes, std::optional<GnssTime> received = {});
  // Time passes without bytes: an epoch that waits too long is given out.
  void tick(GnssTime received) { decoder_.tick(received); }
  // The stream ended.
  void finish();

  [[nodiscard]] bool week_known() const { return decoder_.week_known(); }
  [[nodiscard]] StreamCounts counts() const {
    return {splitter_.counts(), malformed_};
  }

 private:
  void on_frame(const profile::StreamFrame& frame) override;

  StreamSink& sink_;
  profile::StreamSplitter splitter_;
  rtcm::Decoder decoder_;
  std::optional<GnssTime> received_;
  std::uint64_t malformed_ = 0;
};

// True where the first bytes of a file hold a whole RTCM frame, and so the file
// is a capture of a stream and not a text format.
bool looks_like_capture(ByteSpan head);

}  // namespace stillpoint::intake
