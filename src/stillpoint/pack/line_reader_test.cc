#include "stillpoint/pack/line_reader.h"

#include <gtest/gtest.h>

#include "stillpoint/pack/pack_test_support.h"

namespace stillpoint {
namespace {

using test::Filter;
using test::packed;
using test::sample_text;

struct Lines {
  std::vector<std::string> lines;
  bool failed = false;
  Error error;
};

Lines read_all(LineReader& reader) {
  Lines all;
  std::string_view line;
  for (;;) {
    auto more = reader.next(line);
    if (!more) {
      all.failed = true;
      all.error = more.error();
      return all;
    }
    if (!*more) {
      return all;
    }
    all.lines.emplace_back(line);
  }
}

Lines lines_of(const std::string& text) {
  LineReader reader(memory_stream(text, "text"));
  return read_all(reader);
}

// Hands out at most `step` bytes a read.
class Dripping final : public ByteStream {
 public:
  Dripping(const std::string& text, std::size_t step)
      : inner_(memory_stream(text, "drip")), step_(step) {}
  Result<std::size_t> read(std::span<char> into) override {
    return inner_->read(into.first(std::min(step_, into.size())));
  }
  [[nodiscard]] const std::string& name() const override {
    return inner_->name();
  }

 private:
  std::unique_ptr<ByteStream> inner_;
  std::size_t step_;
};

TEST(LineReader, TakesLfAndCrlfAndALastLineWithoutEnd) {
  using namespace std::string_literals;
  EXPECT_EQ(lines_of("a\nb\r\n\nc").lines,
            (std::vector<std::string>{"a", "b", "", "c"}));
  EXPECT_EQ(lines_of("a\n").lines, (std::vector<std::string>{"a"}));
  EXPECT_EQ(lines_of("").lines, std::vector<std::string>{});
  EXPECT_EQ(lines_of("\n").lines, (std::vector<std::string>{""}));
  EXPECT_EQ(lines_of("a\rb\n").lines, (std::vector<std::string>{"a\rb"}));
  EXPECT_EQ(lines_of("a\0b\n"s).lines, (std::vector<std::string>{"a\0b"s}));
}

TEST(LineReader, CountsLinesFromOne) {
  const std::string text = "a\nb\nc";
  LineReader reader(memory_stream(text, "file.txt"));
  std::string_view line;
  for (std::size_t n = 1; n <= 3; ++n) {
    ASSERT_TRUE(*reader.next(line));
    EXPECT_EQ(reader.line_number(), n);
  }
  EXPECT_EQ(reader.where(), "file.txt:3");
  EXPECT_FALSE(*reader.next(line));
  EXPECT_FALSE(*reader.next(line));
}

TEST(LineReader, GivesTheSameLinesHoweverTheBytesArrive) {
  const std::string text = sample_text(700'000);
  const Lines whole = lines_of(text);
  ASSERT_FALSE(whole.failed);
  EXPECT_GT(whole.lines.size(), 1000U);
  std::string joined;
  for (const std::string& line : whole.lines) {
    joined += line + "\n";
  }
  std::string expected = text + "\n";
  for (std::size_t at; (at = expected.find('\r')) != std::string::npos;) {
    expected.erase(at, 1);
  }
  EXPECT_TRUE(joined == expected);
  for (const std::size_t step : {1U, 13U, 4096U, 262'143U}) {
    LineReader reader(std::make_unique<Dripping>(text, step));
    EXPECT_TRUE(read_all(reader).lines == whole.lines) << step;
  }
}

TEST(LineReader, LongestLinePassesAndOneByteMoreIsTooLarge) {
  const std::string longest(LineReader::kMaxLine, 'x');
  const Lines good = lines_of("a\n" + longest + "\n" + longest);
  EXPECT_FALSE(good.failed);
  ASSERT_EQ(good.lines.size(), 3U);
  EXPECT_TRUE(good.lines[2] == longest);
  for (const char* end : {"x", "x\n", "xxxxxxxxxx"}) {
    const Lines bad = lines_of("a\n" + longest + end);
    EXPECT_TRUE(bad.failed);
    EXPECT_EQ(bad.lines.size(), 1U);
    EXPECT_EQ(bad.error.code, ErrorCode::kTooLarge);
    EXPECT_EQ(bad.error.where, "text:2");
  }
  const Lines endless = lines_of(std::string(5'000'000, 'x'));
  EXPECT_TRUE(endless.failed);
}

TEST(LineReader, DamageIsToldWithTheLineItFollows) {
  const std::string text = sample_text(600'000);
  const std::string whole = packed(text, Filter::kGzip);
  const std::string cut = whole.substr(0, whole.size() / 2);
  LineReader reader(unpack_memory(cut, "cut.gz"));
  const Lines out = read_all(reader);
  ASSERT_TRUE(out.failed);
  EXPECT_EQ(out.error.code, ErrorCode::kTruncated);
  EXPECT_EQ(out.error.where, "cut.gz:" + std::to_string(out.lines.size()));
  EXPECT_GT(out.lines.size(), 1000U);
}

TEST(LineReader, LinesOfMemoryAreNotCopied) {
  const std::string text = "one\ntwo\r\nthree";
  LineReader reader(memory_stream(text, "memory"));
  std::string_view line;
  ASSERT_TRUE(*reader.next(line));
  EXPECT_EQ(line.data(), text.data());
  LineReader moved(std::move(reader));
  ASSERT_TRUE(*moved.next(line));
  EXPECT_EQ(line, "two");
  EXPECT_EQ(line.data(), text.data() + 4);
  ASSERT_TRUE(*moved.next(line));
  EXPECT_EQ(line, "three");
  EXPECT_FALSE(*moved.next(line));
  EXPECT_FALSE(*moved.next(line));
}

}  // namespace
}  // namespace stillpoint
