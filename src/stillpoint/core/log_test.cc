#include "stillpoint/core/log.h"

#include <gtest/gtest.h>

#include <vector>

namespace stillpoint {
namespace {

std::string line_of(std::string_view value) {
  return format_log_line("T", LogLevel::kInfo, "w", {{"v", value}});
}

std::string value_part(std::string_view value) {
  return line_of(value).substr(
      std::string("time=T level=info what=w v=").size());
}

TEST(LogLine, IsKeysAndValues) {
  EXPECT_EQ(format_log_line("2026-11-25T12:00:00Z",
                            LogLevel::kWarning,
                            "segment closed",
                            {{"bytes", 4711},
                             {"share", 0.25},
                             {"durable", true},
                             {"mount", "BASE1"}}),
            "time=2026-11-25T12:00:00Z level=warning what=\"segment closed\" "
            "bytes=4711 share=0.25 durable=yes mount=BASE1");
}

TEST(LogLine, ValuesWithBlanksAreQuoted) {
  EXPECT_EQ(value_part("a b"), "\"a b\"");
  EXPECT_EQ(value_part(""), "\"\"");
  EXPECT_EQ(value_part("a=b"), "\"a=b\"");
  EXPECT_EQ(value_part("say \"x\""), R"("say \"x\"")");
  EXPECT_EQ(value_part("a\\b"), R"("a\\b")");
}

// A rover may send any user agent: it must not forge a line or steer a
// terminal.
TEST(LogLine, ControlCharactersAreEscaped) {
  EXPECT_EQ(value_part("a\nlevel=error"), R"("a\nlevel=error")");
  EXPECT_EQ(value_part("a\r\t"), R"("a\r\t")");
  EXPECT_EQ(value_part("\x1b[2J"), R"("\x1b[2J")");
  EXPECT_EQ(value_part(std::string_view("\0", 1)), R"("\x00")");
  EXPECT_EQ(value_part("\x7f"), R"("\x7f")");
  EXPECT_EQ(value_part("\xc2\x9b"), R"("\xc2\x9b")");
}

TEST(LogLine, Utf8IsKeptAndOtherBytesAreEscaped) {
  EXPECT_EQ(value_part("Höhe"), "Höhe");
  EXPECT_EQ(value_part("\xe2\x82\xac"), "\xe2\x82\xac");
  EXPECT_EQ(value_part("\xff"), R"("\xff")");
  EXPECT_EQ(value_part("a\xe2\x82"), R"("a\xe2\x82")");
  EXPECT_EQ(value_part("\xc0\x80"), R"("\xc0\x80")");
}

TEST(LogLine, KeysStayWords) {
  EXPECT_EQ(format_log_line("T", LogLevel::kInfo, "w", {{"a b=c\n", 1}}),
            "time=T level=info what=w a_b_c_=1");
}

class Collector : public LogSink {
 public:
  void write(LogLevel level, std::string_view line) override {
    levels.push_back(level);
    lines.emplace_back(line);
  }
  std::vector<LogLevel> levels;
  std::vector<std::string> lines;
};

TEST(Logger, AsksTheClockItWasGivenAndLeavesOutWhatIsTooMinor) {
  Collector sink;
  int asked = 0;
  const Logger logger(sink, [&asked] {
    ++asked;
    return std::string("2026-11-25T12:00:00Z");
  });
  logger.log(LogLevel::kDebug, "hidden");
  logger.log(LogLevel::kError, "shown", {{"n", 1}});
  EXPECT_EQ(asked, 1);
  ASSERT_EQ(sink.lines.size(), 1U);
  EXPECT_EQ(sink.levels[0], LogLevel::kError);
  EXPECT_EQ(sink.lines[0],
            "time=2026-11-25T12:00:00Z level=error what=shown n=1");
}

TEST(Logger, WithoutASinkNothingHappens) {
  const Logger nowhere;
  EXPECT_FALSE(nowhere.wants(LogLevel::kError));
  nowhere.log(LogLevel::kError, "lost");
  Collector sink;
  Logger(sink, {}).log(LogLevel::kInfo, "no clock");
  EXPECT_EQ(sink.lines.at(0), "time=\"\" level=info what=\"no clock\"");
}

// kind: published   source: RFC 8259, section 7: quotation mark, reverse
// solidus and U+0000 .. U+001F must be escaped, "\u" and four hex digits
TEST(LogJson, EscapesWhatJsonAsksFor) {
  EXPECT_EQ(format_log_json(
                "T",
                LogLevel::kWarning,
                "a \"b\" \\ \n",
                {{"n", 1}, {"name", "gr\xC3\xBC\xC3\x9F"}, {"bad", "\xFF"}}),
            "{\"time\":\"T\",\"level\":\"warning\",\"what\":\"a \\\"b\\\" "
            "\\\\ \\u000a\",\"n\":\"1\",\"name\":\"gr\xC3\xBC\xC3\x9F\","
            "\"bad\":\"\xEF\xBF\xBD\"}");
}

class JsonOfErrors final : public LogSink {
 public:
  void write(LogLevel /*level*/, std::string_view line) override {
    lines.emplace_back(line);
  }
  [[nodiscard]] bool wants(LogLevel level) const override {
    return level == LogLevel::kError;
  }
  [[nodiscard]] LogFormat format() const override { return LogFormat::kJson; }
  std::vector<std::string> lines;
};

TEST(Logger, AsksTheSinkWhatItWantsAndHow) {
  JsonOfErrors sink;
  const Logger logger(sink, {}, LogLevel::kDebug);
  logger.log(LogLevel::kWarning, "hidden");
  logger.log(LogLevel::kError, "shown");
  EXPECT_EQ(sink.lines,
            (std::vector<std::string>{
                R"({"time":"","level":"error","what":"shown"})"}));
}

}  // namespace
}  // namespace stillpoint
