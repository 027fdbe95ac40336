#include "stillpoint/station/raw_path.h"

#include <utility>

namespace stillpoint::station {

RawPath::RawPath(RawPathOptions options,
                 ntrip::FrameSink& rovers,
                 Recording& recording,
                 ByteQueue& decode,
                 Clocks clocks)
    : options_(std::move(options)),
      rovers_(rovers),
      recording_(recording),
      decode_(decode),
      clocks_(std::move(clocks)),
      composer_(options_.compose),
      splitter_(options_.framings) {}

void RawPath::push(ByteSpan bytes, GnssTime received) {
  if (bytes.empty()) {
    return;
  }
  bytes_ += bytes.size();
  received_ = received;
  splitter_.push(bytes, *this);
  send_chunk();
  const SharedBytes shared = shared_bytes(bytes);
  if (options_.source_waits) {
    recording_.take_waiting({shared, received});
    decode_.push_waiting({shared, received});
  } else {
    recording_.take({shared, received});
    if (!decode_.push({shared, received})) {
      undecoded_ += bytes.size();
    }
  }
  if (tap_) {
    tap_(bytes);
  }
}

void RawPath::broken() {
  splitter_.finish(*this);
  send_chunk();
}

void RawPath::on_frame(const profile::StreamFrame& frame) {
  if (frame.kind == profile::FrameKind::kRtcm) {
    composer_.on_frame(
        frame.bytes, seconds_of(clocks_.steady()), received_, chunk_);
  }
}

void RawPath::tick() {
  composer_.on_quiet(seconds_of(clocks_.steady()), clocks_.wall(), chunk_);
  send_chunk();
}

void RawPath::send_chunk() {
  if (chunk_.empty()) {
    return;
  }
  frame_bytes_ += chunk_.size();
  for (const std::string& mount : options_.mounts) {
    rovers_.on_chunk(mount, chunk_);
  }
  chunk_.clear();
}

}  // namespace stillpoint::station
