// record_stdin FOLDER COMMIT_S
//
// Records its standard input, and nothing else: what kill_recording.py kills
// where there is no program to kill. Prints "durable N" whenever more is
// acknowledged, and "lost FROM TO" for what the start found, each a line at
// once.
#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstdio>
#include <optional>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/archive/recorder.h"
#include "stillpoint/core/text.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;

GnssTime now() {
  const auto since = std::chrono::duration_cast<std::chrono::nanoseconds>(
      std::chrono::system_clock::now().time_since_epoch());
  // GPS time began 315,964,800 s after the epoch of the system's clock; leap
  // seconds do not matter here.
  constexpr std::int64_t kOffsetS = 315'964'800;
  return GnssTime::from_ns(since.count() - kOffsetS * GnssTime::kNsPerS);
}

void say(const std::string& line) {
  fmt::print("{}\n", line);
  std::fflush(stdout);
}

}  // namespace

int main(int count, char** words) {
  const auto commit_s =
      count == 3 ? parse_double(words[2]) : std::optional<double>();
  if (!commit_s) {
    fmt::print(stderr, "record_stdin FOLDER COMMIT_S\n");
    return 2;
  }
  archive::RecorderOptions options;
  options.root = words[1];
  options.new_stream = 0x4C484F4C;
  options.commit_after = Duration{*commit_s};
  const auto files = archive::posix_file_system();
  auto recorder = archive::Recorder::open(
      *files, options, now(), [](const archive::ArchiveEvent& event) {
        if (event.kind == archive::ArchiveEventKind::kLost) {
          say(fmt::format("lost {} {}", event.range->from, event.range->to));
        }
      });
  if (!recorder) {
    fmt::print(stderr, "{}\n", recorder.error().text());
    return 4;
  }
  std::uint64_t durable = (*recorder)->durable_offset();
  say(fmt::format("durable {}", durable));
  constexpr int kTurnMs = 10;
  std::array<std::uint8_t, 4096> room{};
  while (true) {
    pollfd wait{STDIN_FILENO, POLLIN, 0};
    if (::poll(&wait, 1, kTurnMs) > 0) {
      const ssize_t got = ::read(STDIN_FILENO, room.data(), room.size());
      if (got <= 0) {
        break;
      }
      (*recorder)->append(ByteSpan(room).first(static_cast<std::size_t>(got)),
                          now());
    }
    (*recorder)->tick(now());
    if ((*recorder)->durable_offset() > durable) {
      durable = (*recorder)->durable_offset();
      say(fmt::format("durable {}", durable));
    }
  }
  return (*recorder)->close(now()) ? 0 : 4;
}
