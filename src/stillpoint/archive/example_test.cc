// The example of docs/formats/segment.md, byte for byte.
#include <gtest/gtest.h>

#include <charconv>
#include <fstream>
#include <sstream>
#include <string>

#include "stillpoint/archive/segment_writer.h"

namespace stillpoint::archive {
namespace {

// The hex numbers before the bar of every line of the page's example.
std::vector<std::uint8_t> shown() {
  std::ifstream page(STILLPOINT_SEGMENT_PAGE);
  std::vector<std::uint8_t> bytes;
  bool example = false;
  for (std::string line; std::getline(page, line);) {
    if (line.starts_with("## ")) {
      example = line == "## Example";
    }
    const std::size_t bar = line.find('|');
    if (!example || bar == std::string::npos) {
      continue;
    }
    std::istringstream words(line.substr(0, bar));
    for (std::string word; words >> word;) {
      std::uint8_t byte = 0;
      const auto end = word.data() + word.size();
      EXPECT_EQ(std::from_chars(word.data(), end, byte, 16).ptr, end) << line;
      bytes.push_back(byte);
    }
  }
  return bytes;
}

TEST(SegmentPage, ShowsTheBytesOfAWholeSegment) {
  Opening opening;
  opening.stream = 0x4C484F4C;
  opening.offset = 1000;
  opening.time = GnssTime::from_ns(GnssTime::kNsPerS);
  opening.previous.end = PreviousEnd::kClosed;
  opening.previous.path = "2026/329/11.seg";
  opening.previous.first_offset = 900;
  opening.previous.last_time = GnssTime::from_ns(GnssTime::kNsPerS / 2);
  for (std::size_t i = 0; i < opening.previous.digest.size(); ++i) {
    opening.previous.digest[i] = static_cast<std::uint8_t>(i);
  }
  SegmentWriter writer(opening, kDefaultLevel);
  const std::vector<std::uint8_t> first{0xD3, 0x00, 0x13}, second{0x3E, 0xD0};
  writer.bytes(std::vector<Received>{
      {GnssTime::from_ns(GnssTime::kNsPerS), first},
      {GnssTime::from_ns(GnssTime::kNsPerS + 300), second}});
  writer.gap({1005,
              1015,
              GnssTime::from_ns(GnssTime::kNsPerS + 300),
              GnssTime::from_ns(2 * GnssTime::kNsPerS),
              GapReason::kDropped});
  writer.close({{"antenna", "SPDEMO-A1 NONE"}}, {{"frames", 1}}, false);
  EXPECT_EQ(shown(), writer.take());
}

}  // namespace
}  // namespace stillpoint::archive
