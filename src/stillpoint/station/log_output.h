// Log lines to standard error, for a terminal, a file or the system's journal.
#pragma once

#include <atomic>
#include <string_view>

#include "stillpoint/core/log.h"

namespace stillpoint::station {

//   threads  any; a line is one write, so that lines never mix
class LogOutput final : public LogSink {
 public:
  // `for_journal`: each line begins with its priority, "<4>", which the journal
  // takes off (sd-daemon(3)).
  explicit LogOutput(bool for_journal) : for_journal_(for_journal) {}

  void set(LogLevel least, LogFormat format) {
    least_ = least;
    format_ = format;
  }

  void write(LogLevel level, std::string_view line) override;
  [[nodiscard]] bool wants(LogLevel level) const override {
    return level >= least_;
  }
  [[nodiscard]] LogFormat format() const override { return format_; }

 private:
  const bool for_journal_;
  std::atomic<LogLevel> least_ = LogLevel::kInfo;
  std::atomic<LogFormat> format_ = LogFormat::kText;
};

// Whether standard error is the journal's.
//
//   source   systemd.exec(5): JOURNAL_STREAM holds device and inode of it
bool logs_to_journal();

}  // namespace stillpoint::station
