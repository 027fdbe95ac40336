// Where a caster's streams come from: on one machine the daemon's own receiver,
// past one machine a subscription. Bytes are opaque.
#pragma once

#include <string_view>

#include "stillpoint/core/bytes.h"

namespace stillpoint::ntrip {

// Takes chunks of streams.
class FrameSink {
 public:
  virtual ~FrameSink() = default;
  // The next bytes of a mountpoint's stream, whole frames, copied before it
  // returns. Chunks of one mountpoint come in the order of the calls. Never
  // waits for a rover. A mountpoint that is not served is ignored.
  //
  //   threads  any; calls for one mountpoint one after the other
  virtual void on_chunk(std::string_view mount, ByteSpan chunk) = 0;
};

// Gives chunks of streams, as they come.
class FrameSource {
 public:
  virtual ~FrameSource() = default;
  // From now on all chunks go to the sink, which outlives the source or stop().
  virtual void start(FrameSink& sink) = 0;
  // After it returns the sink is not called any more.
  virtual void stop() = 0;
};

}  // namespace stillpoint::ntrip
