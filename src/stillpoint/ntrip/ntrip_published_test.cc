// tests/vectors/ntrip.txt: heads and records of real casters; and a recorded
// stream.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "stillpoint/core/crc.h"
#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/chunked.h"
#include "stillpoint/ntrip/response.h"
#include "stillpoint/ntrip/sourcetable.h"
#include "tests/support/test_data.h"
#include "tests/support/vectors.h"

namespace stillpoint::ntrip {
namespace {

using Values = std::map<std::string, std::string>;

ByteSpan bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

struct Case {
  std::string what, text;
  Values expected;
};

// "\r" and "\n" written out become what they stand for.
std::string unescaped(std::string text) {
  for (const auto& [written, meant] :
       {std::pair<std::string, std::string>{"\\r", "\r"}, {"\\n", "\n"}}) {
    for (std::size_t at = 0; (at = text.find(written, at)) != text.npos;) {
      text.replace(at, written.size(), meant);
    }
  }
  return text;
}

std::vector<Case> cases() {
  std::ifstream file(test::vector_path("ntrip.txt"));
  std::vector<Case> all;
  std::string line;
  std::getline(file, line);
  EXPECT_TRUE(line.starts_with("source: "));
  while (std::getline(file, line)) {
    if (line.starts_with('#')) {
      continue;
    }
    const std::size_t first = line.find(" | ");
    const std::size_t second = line.rfind(" | ");
    Case c{line.substr(0, first),
           unescaped(line.substr(first + 3, second - first - 3)),
           {}};
    std::istringstream words(line.substr(second + 3));
    for (std::string word; words >> word;) {
      const std::size_t equals = word.find('=');
      c.expected[word.substr(0, equals)] = word.substr(equals + 1);
    }
    all.push_back(std::move(c));
  }
  return all;
}

std::string text_of(const std::optional<int>& value) {
  return value ? std::to_string(*value) : "none";
}
std::string text_of(const std::optional<bool>& value) {
  return value ? std::to_string(static_cast<int>(*value)) : "none";
}
std::string text_of(const std::optional<double>& value) {
  return value ? fmt::format("{:.2f}", *value) : "none";
}

Values values_of(const ResponseHead& head) {
  constexpr const char* kKinds[] = {
      "stream", "table", "refusal", "redirect", "unknown"};
  Values values{{"kind", kKinds[static_cast<int>(head.kind)]},
                {"status", std::to_string(head.status)},
                {"version", std::to_string(head.version)}};
  if (head.content_length) {
    values["length"] = std::to_string(*head.content_length);
  }
  return values;
}

struct Reader {
  Values operator()(const StreamRecord& r) const {
    return {{"type", "STR"},
            {"mount", r.mountpoint},
            {"details", r.format_details},
            {"carrier", text_of(r.carrier)},
            {"nav", r.nav_system},
            {"network", r.network},
            {"country", r.country},
            {"lat", text_of(r.latitude_deg)},
            {"lon", text_of(r.longitude_deg)},
            {"nmea", text_of(r.wants_gga)},
            {"solution", text_of(r.solution)},
            {"generator", r.generator},
            {"authentication", r.authentication},
            {"fee", r.fee},
            {"bitrate", text_of(r.bitrate)},
            {"misc", r.misc}};
  }
  Values operator()(const CasterRecord& r) const {
    return {{"type", "CAS"},
            {"host", r.host},
            {"port", text_of(r.port)},
            {"identifier", r.identifier},
            {"operator", r.operated_by},
            {"nmea", text_of(r.takes_gga)},
            {"country", r.country},
            {"lat", text_of(r.latitude_deg)},
            {"lon", text_of(r.longitude_deg)},
            {"fallback", r.fallback_host},
            {"fallback_port", text_of(r.fallback_port)},
            {"misc", r.misc}};
  }
  Values operator()(const NetworkRecord& r) const {
    return {{"type", "NET"},
            {"identifier", r.identifier},
            {"operator", r.operated_by},
            {"authentication", r.authentication},
            {"fee", r.fee},
            {"net", r.web_network},
            {"str", r.web_stream},
            {"reg", r.web_register},
            {"misc", r.misc}};
  }
  Values operator()(const OtherRecord&) const { return {}; }
};

// kind: published   source: in the file   tolerance: none, text
TEST(PublishedNtrip, HeadsAndRecords) {
  int heads = 0;
  int records = 0;
  for (const Case& c : cases()) {
    SCOPED_TRACE(c.text);
    if (c.what == "head") {
      ResponseReader reader;
      const auto complete = reader.feed(bytes_of(c.text));
      ASSERT_TRUE(complete.has_value() && *complete);
      EXPECT_EQ(values_of(reader.head()), c.expected);
      ++heads;
    } else {
      const auto table = parse_sourcetable(c.text);
      ASSERT_TRUE(table.has_value());
      ASSERT_EQ(table->records.size(), 1U);
      EXPECT_EQ(table->problem_count, 0U);
      EXPECT_EQ(std::visit(Reader{}, table->records[0]), c.expected);
      EXPECT_EQ(format_sourcetable(*table), c.text + "\r\nENDSOURCETABLE\r\n");
      ++records;
    }
  }
  EXPECT_EQ(heads, 5);
  EXPECT_EQ(records, 4);
}

struct Frames {
  std::size_t good = 0;
  std::size_t before = 0, behind = 0;  // bytes outside of them
  std::size_t missing = 0;             // of the frame begun last
};

// Frames one behind the other from the first preamble on, up to one that is
// not good or not whole.
//
//   source   RTCM 10403.x: D3, six zero bits, ten bits of length, payload,
//            CRC-24Q
Frames count_frames(ByteSpan stream) {
  Frames frames;
  while (!stream.empty() && stream.front() != 0xD3) {
    stream = stream.subspan(1);
    ++frames.before;
  }
  while (stream.size() >= 6 && stream[0] == 0xD3) {
    const std::size_t size =
        6 + (static_cast<std::size_t>(stream[1] & 3U) << 8U | stream[2]);
    if (stream.size() < size || crc24q(stream.first(size)) != 0) {
      frames.missing = size - std::min(size, stream.size());
      break;
    }
    ++frames.good;
    stream = stream.subspan(size);
  }
  frames.behind = stream.size();
  return frames;
}

// kind: cross   source: a version 2 stream of a public caster, recorded 2019;
// CRC-24Q of RTCM 10403.x says that no byte was lost   tolerance: none
TEST(PublishedNtrip, RecordedChunksHoldGoodFrames) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/ntrip2-chunked-eph.http.dat");
  std::ifstream file(path, std::ios::binary);
  const std::string all{std::istreambuf_iterator<char>(file), {}};
  ResponseReader reader;
  const auto complete = reader.feed(bytes_of(all));
  ASSERT_TRUE(complete.has_value() && *complete);
  EXPECT_EQ(reader.head().kind, ResponseKind::kStream);
  ASSERT_TRUE(reader.head().chunked);
  std::vector<std::uint8_t> body;
  ChunkedDecoder decoder;
  ByteSpan rest = reader.body();
  while (!rest.empty()) {
    const auto piece = decoder.next(rest);
    ASSERT_TRUE(piece.has_value()) << piece.error().text();
    body.insert(body.end(), piece->begin(), piece->end());
  }
  // The recording begins and ends in the middle of a frame.
  const Frames frames = count_frames(body);
  EXPECT_EQ(frames.good, 470U);
  EXPECT_LT(frames.before, 1029U);
  EXPECT_GT(frames.missing, 0U);
}

}  // namespace
}  // namespace stillpoint::ntrip
