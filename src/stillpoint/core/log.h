// Log lines: one line an event, key=value or JSON, times in UTC. The library
// prints nothing and reads no clock: the program hands in where lines go and
// what time it is. Without a sink nothing happens.
#pragma once

#include <concepts>
#include <cstdint>
#include <functional>
#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>

namespace stillpoint {

enum class LogLevel : std::uint8_t { kDebug, kInfo, kWarning, kError };
const char* log_level_name(LogLevel level);  // "debug", "info", …

// One key=value of a line. Never a password, never a whole source with its
// password: the caller leaves them out.
struct LogField {
  std::string_view key;  // a word of letters, digits, '_' and '.'
  std::string value;

  LogField(std::string_view k, std::string_view v) : key(k), value(v) {}
  LogField(std::string_view k, const char* v) : key(k), value(v) {}
  LogField(std::string_view k, const std::string& v) : key(k), value(v) {}
  LogField(std::string_view k, bool v) : key(k), value(v ? "yes" : "no") {}
  LogField(std::string_view k, double v);
  template <std::integral T>
  LogField(std::string_view k, T v) : key(k), value(std::to_string(v)) {}
};

// The line, without its end:
//   time=2026-11-25T12:00:00Z level=info what="segment closed" bytes=4711
// A value that is empty or holds blanks, quotes, '=' or '\' is quoted; in
// quotes '"' and '\' get a '\' before them. Control characters and bytes that
// are no UTF-8 are written as \n, \r, \t or \xHH, so that a line stays a line
// and cannot steer a terminal. A key with other characters has them replaced
// by '_'.
std::string format_log_line(std::string_view utc,
                            LogLevel level,
                            std::string_view what,
                            std::initializer_list<LogField> fields);

// The same as one JSON object, every value a string:
//   {"time":"2026-11-25T12:00:00Z","level":"info","what":"segment closed",…}
// Bytes that are no UTF-8 become U+FFFD.
//
//   source   RFC 8259 section 7 for what is escaped
std::string format_log_json(std::string_view utc,
                            LogLevel level,
                            std::string_view what,
                            std::initializer_list<LogField> fields);

enum class LogFormat : std::uint8_t { kText, kJson };

// Where lines go.
class LogSink {
 public:
  LogSink() = default;
  LogSink(const LogSink&) = delete;
  LogSink& operator=(const LogSink&) = delete;
  LogSink(LogSink&&) = delete;
  LogSink& operator=(LogSink&&) = delete;
  virtual ~LogSink() = default;
  // One line without its end.
  virtual void write(LogLevel level, std::string_view line) = 0;
  // What it wants to have, and how; may change while it works.
  [[nodiscard]] virtual bool wants(LogLevel /*level*/) const { return true; }
  [[nodiscard]] virtual LogFormat format() const { return LogFormat::kText; }
};

// Says the present time as RFC 3339 UTC, for the line.
using LogClock = std::function<std::string()>;

// A cheap handle, copied freely; the sink outlives it.
//
//   threads  as safe as its sink and its clock
class Logger {
 public:
  Logger() = default;  // nowhere
  Logger(LogSink& sink, LogClock clock, LogLevel least = LogLevel::kInfo)
      : sink_(&sink), clock_(std::move(clock)), least_(least) {}

  [[nodiscard]] bool wants(LogLevel level) const {
    return sink_ != nullptr && level >= least_ && sink_->wants(level);
  }
  void log(LogLevel level,
           std::string_view what,
           std::initializer_list<LogField> fields = {}) const;

 private:
  LogSink* sink_ = nullptr;
  LogClock clock_;
  LogLevel least_ = LogLevel::kInfo;
};

}  // namespace stillpoint
