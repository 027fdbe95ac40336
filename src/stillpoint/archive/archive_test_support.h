// A station that records on a fake card, and the oracle: what was acknowledged
// is there, nothing is invented, and bytes and gaps tile the stream.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/archive/archive_reader.h"
#include "stillpoint/archive/fake_file_system.h"
#include "stillpoint/archive/recorder.h"

namespace stillpoint::archive {

inline constexpr const char* kRoot = "raw";
inline constexpr std::int64_t kSecond = GnssTime::kNsPerS;
// 2026-11-25T11:59:30Z (GPST is 18 s ahead).
GnssTime half_a_minute_before_noon();

// All that is read from an archive.
struct Collected {
  struct Part {
    std::uint64_t offset = 0;
    GnssTime received;
    std::vector<std::uint8_t> bytes;
  };
  std::vector<Part> parts;
  std::vector<Gap> gaps;
  ArchiveEnd end;
  [[nodiscard]] std::uint64_t byte_count() const;
};
Collected read_between(FileSystem& files, GnssTime from, GnssTime to);
// Everything; an empty archive gives nothing.
Collected read_all(FileSystem& files);
GnssTime utc(int year, int month, int day, int hour, int minute, double second);

class Station {
 public:
  Station(FakeFileSystem& files, GnssTime start);

  // Opens the recorder; false where that fails.
  bool open();
  // One second: bytes come, the recorder ticks, and what it announces is
  // compared with what would survive a power cut.
  void second(std::size_t bytes_now);
  Status close();
  // The program ends without a word.
  void kill() { recorder.reset(); }
  void set_time(GnssTime t) { now_ = t; }
  [[nodiscard]] GnssTime now() const { return now_; }

  // The whole oracle on what is on the card now. Empty: all is well.
  [[nodiscard]] std::string verdict(FileSystem& files) const;

  std::unique_ptr<Recorder> recorder;
  RecorderOptions options;
  std::vector<ArchiveEvent> events;
  std::string announced_too_early;  // what the shim found
  std::size_t announcements = 0;

 private:
  void check_announcement();
  void forget_from(std::uint64_t offset);
  [[nodiscard]] bool true_bytes(const Collected::Part& part) const;

  FakeFileSystem& files_;
  GnssTime now_;
  std::uint64_t acknowledged_ = 0;
  std::vector<Gap> dropped_;
  struct Sent {
    GnssTime time;
    std::vector<std::uint8_t> bytes;
  };
  std::map<std::uint64_t, Sent> truth_;
  std::uint64_t noise_ = 88172645463325252U;
};

// Bytes that look a little like a receiver's.
std::vector<std::uint8_t> receiver_like(std::size_t count,
                                        std::uint64_t& state);

}  // namespace stillpoint::archive
