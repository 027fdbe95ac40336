// record_capture FOLDER TIME [LATE_S]
//
// Records its standard input as a station would have at the time of its epochs:
// every frame counts as received when it was measured, LATE_S seconds (0)
// later. TIME lies within half a week of the first epoch; it tells the week.
// Prints how many bytes that were.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/archive/recorder.h"
#include "stillpoint/core/text.h"
#include "stillpoint/profile/splitter.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/peek.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;

// The epoch of the newest frame.
class EpochWatch final : public profile::FrameSink {
 public:
  explicit EpochWatch(GnssTime near) : now(near) {}
  void on_frame(const profile::StreamFrame& frame) override {
    if (frame.kind == profile::FrameKind::kRtcm) {
      now = rtcm::peek_epoch(rtcm::payload_of(frame.bytes), now).value_or(now);
    }
  }
  GnssTime now;
};

std::vector<std::uint8_t> read_all() {
  std::vector<std::uint8_t> all;
  std::array<std::uint8_t, 65536> piece{};
  for (ssize_t got = 0;
       (got = ::read(STDIN_FILENO, piece.data(), piece.size())) > 0;) {
    all.insert(all.end(), piece.begin(), piece.begin() + got);
  }
  return all;
}

// The first one; `near` where there is none.
GnssTime first_epoch(ByteSpan bytes, GnssTime near) {
  constexpr std::size_t kFront = 8192;
  EpochWatch watch(near);
  profile::StreamSplitter splitter;
  for (std::size_t at = 0; at < bytes.size() && watch.now == near; ++at) {
    splitter.push(bytes.subspan(at, 1), watch);
    if (at > kFront) {
      break;
    }
  }
  return watch.now;
}

int record(const std::string& folder, GnssTime near, double late_s) {
  const std::vector<std::uint8_t> all = read_all();
  const ByteSpan bytes(all);
  EpochWatch watch(first_epoch(bytes, near));
  const auto files = archive::posix_file_system();
  archive::RecorderOptions options;
  options.root = folder;
  options.new_stream = 0x4C484F4C;
  GnssTime received = watch.now + Duration{late_s};
  auto recorder = archive::Recorder::open(
      *files, options, received, [](const archive::ArchiveEvent&) {});
  if (!recorder) {
    fmt::print(stderr, "{}\n", recorder.error().text());
    return 4;
  }
  profile::StreamSplitter splitter;
  // Small, so that an epoch is known before its bytes are old.
  constexpr std::size_t kPiece = 256;
  for (std::size_t at = 0; at < bytes.size(); at += kPiece) {
    const ByteSpan piece =
        bytes.subspan(at, std::min(kPiece, bytes.size() - at));
    splitter.push(piece, watch);
    received = watch.now + Duration{late_s};
    (*recorder)->append(piece, received);
    (*recorder)->tick(received);
  }
  fmt::print("{}\n", bytes.size());
  return (*recorder)->close(received) ? 0 : 4;
}

}  // namespace

int main(int count, char** words) {
  const auto near = count >= 3 ? parse_time(words[2])
                               : Result<GnssTime>(tl::unexpected(Error{}));
  const auto late_s =
      count == 4 ? parse_double(words[3]) : std::optional<double>(0);
  if (!near || !late_s || count > 4) {
    fmt::print(stderr, "record_capture FOLDER TIME [LATE_S]\n");
    return 2;
  }
  return record(words[1], *near, *late_s);
}
