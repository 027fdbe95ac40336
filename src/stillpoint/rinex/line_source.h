// Lines with one step back, and the answer to "does the file end inside this
// line?", which tells a cut file from a whole one.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "stillpoint/pack/line_reader.h"

namespace stillpoint::rinex {

class LineSource {
 public:
  explicit LineSource(std::unique_ptr<ByteStream> stream);

  // Next line, valid until the next call of anything but push_back().
  Result<bool> next(std::string_view& line) {
    if (pushed_) {
      pushed_ = false;
      ++number_;
      line = line_;
      return true;
    }
    Result<bool> got = reader_.next(line_);
    if (got && *got) {
      ++number_;
      line = line_;
    }
    return got;
  }

  // The line handed out last comes again.
  void push_back() {
    pushed_ = true;
    --number_;
  }

  // True when the line handed out last is the last one and has no line end.
  // The line itself is gone afterwards.
  bool last_line_is_cut();

  // Of the line handed out last, from 1.
  [[nodiscard]] std::size_t number() const { return number_; }
  [[nodiscard]] std::string where() const { return where(number_); }
  [[nodiscard]] std::string where(std::size_t number) const;

 private:
  // Passes bytes on and remembers the last one.
  class Tail;
  Tail* tail_;  // owned by reader_
  LineReader reader_;
  std::string_view line_;
  std::size_t number_ = 0;
  bool pushed_ = false;
};

}  // namespace stillpoint::rinex
