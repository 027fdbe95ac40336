// card_bytes CAPTURE FOLDER [SECONDS [COMMIT_S [LEVEL]]]
//
// Bytes that recording an hour writes to the card, against the same hour
// compressed as a whole (zstd 3). CAPTURE is plain RTCM 3 that holds one
// GPS MSM7 (1077) an epoch of a second; it is played again until the time is
// full, with receive times handed in, so an hour takes seconds. FOLDER lies on
// the disk to be measured. Prints
//   file    the segment files
//   pages   what the kernel counts for this process (/proc/self/io)
//   device  what reached the block device, with the file system's journal; to
//           be believed where nothing else writes there, e.g. a loop device
// and the syncs an hour, and the longest stall of the caller.
#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>
#include <zstd.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/archive/recorder.h"

namespace {

using namespace stillpoint;
using Clock = std::chrono::steady_clock;

[[noreturn]] void give_up(const char* why) {
  fmt::print(stderr, "card_bytes: {}\n", why);
  std::exit(1);
}

std::vector<std::uint8_t> content(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// Where the seconds of the capture begin.
std::vector<ByteSpan> seconds_of(ByteSpan capture) {
  constexpr std::size_t kHead = 3, kAround = 6;
  constexpr unsigned kEpochBegins = 1077;
  std::vector<std::size_t> starts;
  for (std::size_t at = 0; at + kAround < capture.size();) {
    if (capture[at] != 0xD3) {
      ++at;
      continue;
    }
    const std::size_t length =
        (capture[at + 1] & 3U) * std::size_t{256} + capture[at + 2];
    const unsigned type =
        capture[at + kHead] * 16U + (capture[at + kHead + 1] >> 4U);
    if (type == kEpochBegins) {
      starts.push_back(at);
    }
    at += length + kAround;
  }
  if (starts.empty()) {
    give_up("no epoch in the capture");
  }
  std::vector<ByteSpan> seconds;
  for (std::size_t i = 0; i < starts.size(); ++i) {
    const std::size_t end =
        i + 1 < starts.size() ? starts[i + 1] : capture.size();
    seconds.push_back(capture.subspan(starts[i], end - starts[i]));
  }
  return seconds;
}

std::uint64_t kernel_write_bytes() {
  std::ifstream in("/proc/self/io");
  std::string key;
  std::uint64_t value = 0;
  while (in >> key >> value) {
    if (key == "write_bytes:") {
      return value;
    }
  }
  give_up("no /proc/self/io");
}

std::uint64_t device_write_bytes(const std::string& folder) {
  struct stat facts {};
  if (::stat(folder.c_str(), &facts) != 0) {
    give_up("no such folder");
  }
  std::ifstream in(fmt::format(
      "/sys/dev/block/{}:{}/stat", major(facts.st_dev), minor(facts.st_dev)));
  constexpr int kSectorsWritten = 7;
  constexpr std::uint64_t kSector = 512;
  std::uint64_t value = 0;
  for (int i = 0; i < kSectorsWritten; ++i) {
    in >> value;
  }
  return value * kSector;
}

std::uint64_t file_bytes(const std::string& folder) {
  std::uint64_t sum = 0;
  for (const auto& entry :
       std::filesystem::recursive_directory_iterator(folder)) {
    sum += entry.path().extension() == ".seg" ? entry.file_size() : 0;
  }
  return sum;
}

std::size_t compressed_size(ByteSpan bytes) {
  std::vector<std::uint8_t> room(ZSTD_compressBound(bytes.size()));
  return ZSTD_compress(room.data(), room.size(), bytes.data(), bytes.size(), 3);
}

double number(char** words, int count, int index, double otherwise) {
  return index < count ? std::atof(words[index]) : otherwise;
}

}  // namespace

int main(int count, char** words) {
  if (count < 3) {
    give_up("CAPTURE FOLDER [SECONDS [COMMIT_S [LEVEL]]]");
  }
  const auto capture = content(words[1]);
  const auto seconds = seconds_of(capture);
  const std::string folder = std::string(words[2]) + "/card-bytes";
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  const auto length = static_cast<std::size_t>(number(words, count, 3, 3600));
  archive::RecorderOptions options;
  options.root = folder;
  options.commit_after = Duration{number(words, count, 4, 9)};
  options.level = static_cast<int>(number(words, count, 5, 3));

  const auto files = archive::posix_file_system();
  // The start of an hour in UTC, 18 s behind GPS time.
  const GnssTime start = GnssTime::from_gps_week(2394, 302'400 + 18);
  auto recorder = archive::Recorder::open(*files, options, start, {});
  if (!recorder) {
    give_up("the folder takes no recording");
  }
  ::sync();
  const std::uint64_t pages_before = kernel_write_bytes();
  const std::uint64_t device_before = device_write_bytes(folder);
  std::vector<std::uint8_t> stream;
  std::uint64_t durable = 0;
  std::size_t syncs = 0;
  double longest_s = 0;
  for (std::size_t i = 0; i < length; ++i) {
    const ByteSpan bytes = seconds[i % seconds.size()];
    stream.insert(stream.end(), bytes.begin(), bytes.end());
    const GnssTime now = start + Duration{static_cast<double>(i)};
    const auto begin = Clock::now();
    (*recorder)->append(bytes, now);
    longest_s = std::max(
        longest_s, std::chrono::duration<double>(Clock::now() - begin).count());
    syncs += (*recorder)->durable_offset() > durable ? 1U : 0U;
    durable = (*recorder)->durable_offset();
  }
  if (!(*recorder)->close(start + Duration{static_cast<double>(length)})) {
    give_up("the recording does not close");
  }
  const std::uint64_t pages = kernel_write_bytes() - pages_before;
  ::sync();
  const std::uint64_t device = device_write_bytes(folder) - device_before;
  const std::size_t base = compressed_size(stream);
  const auto ratio = [&](std::uint64_t bytes) {
    return static_cast<double>(bytes) / static_cast<double>(base);
  };
  fmt::print(
      "commit_s {} level {}: stream {} B, compressed {} B; file {:.3f} x, "
      "pages {:.3f} x, device {:.3f} x; {:.0f} syncs an hour; longest call "
      "{:.1f} ms\n",
      options.commit_after.s,
      options.level,
      stream.size(),
      base,
      ratio(file_bytes(folder)),
      ratio(pages),
      ratio(device),
      static_cast<double>(syncs) * 3600 / static_cast<double>(length),
      1e3 * longest_s);
  std::filesystem::remove_all(folder);
  return 0;
}
