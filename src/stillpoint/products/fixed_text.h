// Text of fixed columns for the writers, and the numbers of the readers.
// Inside products only.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::products {

// A real number with or without exponent, "-.5E+01" and "1.2D-05" too, without
// blanks around it. Nothing for anything else and not finite values.
std::optional<double> to_real(std::string_view text);

// Takes the first word off the text; empty at the end.
std::string_view next_word(std::string_view& text);

// One line, field after field. What does not fit its field makes the line bad
// and is told in problem(); nothing is ever cut.
class FixedLine {
 public:
  // At the left of `width` columns; printable ASCII only.
  FixedLine& text(std::string_view value, std::size_t width);
  // At the right.
  FixedLine& right(std::string_view value, std::size_t width);
  FixedLine& integer(std::int64_t value, std::size_t width);
  FixedLine& fixed(double value, std::size_t width, int decimals);
  // "1.23E-04": `digits` significant digits, exponent of two digits; smaller
  // than 1E-99 is zero.
  FixedLine& scientific(double value, std::size_t width, int digits);
  // The same as "0.123E-03".
  FixedLine& fraction(double value, std::size_t width, int digits);
  FixedLine& blanks(std::size_t count);
  // Blanks up to a column; bad when the line is already longer.
  FixedLine& column(std::size_t at);

  [[nodiscard]] const std::string& problem() const { return problem_; }
  [[nodiscard]] std::string_view view() const { return line_; }

 private:
  // Notes the first problem and goes on with blanks.
  FixedLine& spoil(std::string problem, std::size_t width);

  std::string line_, problem_;
};

// Lines into a sink by blocks. The first error stays; lines after it go
// nowhere.
class LineWriter {
 public:
  explicit LineWriter(ByteSink& sink);
  // Adds the line without the blanks at its end.
  void put(const FixedLine& line);
  void put(std::string_view line);
  // Reports a mistake found in the values.
  void refuse(std::string what);
  // Hands on what is left.
  //
  //   errors   kOutOfRange for what does not fit its field, with the line of
  //            the file; what the sink reports
  Status finish();

 private:
  void flush();

  ByteSink* sink_;
  std::string buffer_;
  std::uint64_t lines_ = 0;
  Status status_ = ok();
};

}  // namespace stillpoint::products
