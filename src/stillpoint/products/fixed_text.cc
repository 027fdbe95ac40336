#include "stillpoint/products/fixed_text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

namespace stillpoint::products {
namespace {

constexpr std::size_t kBlock = std::size_t{64} * 1024;
constexpr double kTiny = 1e-99;
constexpr int kMostExponent = 99;

std::optional<double> plain_real(std::string_view text) {
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc() || stop != end || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

// Digits and exponent of a number that is not zero.
struct Digits {
  std::string text;  // "d.ddd" without sign
  int exponent = 0;
};

Digits digits_of(double value, int digits) {
  std::array<char, 64> room{};
  const auto end = std::to_chars(room.data(),
                                 room.data() + room.size(),
                                 std::abs(value),
                                 std::chars_format::scientific,
                                 digits - 1)
                       .ptr;
  const std::string_view all(room.data(),
                             static_cast<std::size_t>(end - room.data()));
  const std::size_t e = all.find('e');
  Digits result;
  result.text = all.substr(0, e);
  std::string_view power = all.substr(e + 1);
  const bool negative = power.starts_with('-');
  power.remove_prefix(1);
  std::from_chars(power.data(), power.data() + power.size(), result.exponent);
  result.exponent = negative ? -result.exponent : result.exponent;
  return result;
}

std::string exponent_text(int exponent) {
  std::string text = exponent < 0 ? "E-" : "E+";
  const std::string size = std::to_string(std::abs(exponent));
  text.append(size.size() < 2 ? 1 : 0, '0');
  text += size;
  return text;
}

}  // namespace

std::optional<double> to_real(std::string_view text) {
  if (text.size() > 1 && text[0] == '+' && text[1] != '-') {
    text.remove_prefix(1);
  }
  const std::size_t d = text.find_first_of("Dd");
  if (d == std::string_view::npos) {
    return plain_real(text);
  }
  std::string with_e(text.substr(0, std::min<std::size_t>(text.size(), 64)));
  if (d >= with_e.size() || text.size() > with_e.size()) {
    return std::nullopt;
  }
  with_e[d] = 'E';
  return plain_real(with_e);
}

std::string_view next_word(std::string_view& text) {
  // Words are short: plain loops beat the library's searches.
  std::size_t begin = 0;
  while (begin < text.size() && text[begin] == ' ') {
    ++begin;
  }
  std::size_t end = begin;
  while (end < text.size() && text[end] != ' ') {
    ++end;
  }
  const std::string_view word = text.substr(begin, end - begin);
  text.remove_prefix(end);
  return word;
}

FixedLine& FixedLine::spoil(std::string problem, std::size_t width) {
  if (problem_.empty()) {
    problem_ = std::move(problem);
  }
  return blanks(width);
}

FixedLine& FixedLine::text(std::string_view value, std::size_t width) {
  const bool printable = std::all_of(
      value.begin(), value.end(), [](char c) { return c >= ' ' && c <= '~'; });
  if (!printable) {
    return spoil("a text has characters that are not printable ASCII", width);
  }
  if (value.size() > width) {
    std::string problem = "'";
    problem += value.substr(0, 80);
    problem += "' does not fit ";
    problem += std::to_string(width);
    return spoil(problem + " columns", width);
  }
  line_ += value;
  return blanks(width - value.size());
}

FixedLine& FixedLine::right(std::string_view value, std::size_t width) {
  if (value.size() < width) {
    blanks(width - value.size());
    width = value.size();
  }
  return text(value, width);
}

FixedLine& FixedLine::integer(std::int64_t value, std::size_t width) {
  return right(std::to_string(value), width);
}

FixedLine& FixedLine::fixed(double value, std::size_t width, int decimals) {
  std::array<char, 400> room{};
  if (!std::isfinite(value)) {
    return spoil("a value is not a finite number", width);
  }
  const auto end = std::to_chars(room.data(),
                                 room.data() + room.size(),
                                 value,
                                 std::chars_format::fixed,
                                 decimals)
                       .ptr;
  std::string_view printed(room.data(),
                           static_cast<std::size_t>(end - room.data()));
  // No "-0.00".
  if (printed.starts_with('-') &&
      printed.find_first_not_of("-0.") == std::string_view::npos) {
    printed.remove_prefix(1);
  }
  return right(printed, width);
}

FixedLine& FixedLine::scientific(double value, std::size_t width, int digits) {
  if (!std::isfinite(value)) {
    return spoil("a value is not a finite number", width);
  }
  std::string printed = value < 0 ? "-" : "";
  Digits d = digits_of(value, digits);
  if (d.exponent < -kMostExponent) {
    d = digits_of(0, digits);
    printed.clear();
  }
  if (d.exponent > kMostExponent) {
    return spoil("a value is too large", width);
  }
  printed += d.text;
  printed += exponent_text(d.exponent);
  return right(printed, width);
}

FixedLine& FixedLine::fraction(double value, std::size_t width, int digits) {
  if (!std::isfinite(value)) {
    return spoil("a value is not a finite number", width);
  }
  const bool zero = std::abs(value) < kTiny;
  const Digits d = digits_of(zero ? 0 : value, digits);
  if (d.exponent >= kMostExponent) {
    return spoil("a value is too large", width);
  }
  std::string printed = value < 0 && !zero ? "-0." : "0.";
  printed += d.text[0];
  printed +=
      std::string_view(d.text).substr(std::min<std::size_t>(d.text.size(), 2));
  printed += exponent_text(zero ? 0 : d.exponent + 1);
  return right(printed, width);
}

FixedLine& FixedLine::blanks(std::size_t count) {
  line_.append(count, ' ');
  return *this;
}

FixedLine& FixedLine::column(std::size_t at) {
  if (line_.size() > at) {
    return spoil("the text before column " + std::to_string(at) + " is longer",
                 0);
  }
  return blanks(at - line_.size());
}

LineWriter::LineWriter(ByteSink& sink) : sink_(&sink) {
  buffer_.reserve(kBlock + 512);
}

void LineWriter::put(const FixedLine& line) {
  if (!line.problem().empty()) {
    ++lines_;
    refuse(line.problem());
    return;
  }
  put(line.view());
}

void LineWriter::put(std::string_view line) {
  ++lines_;
  if (!status_) {
    return;
  }
  const std::size_t last = line.find_last_not_of(' ');
  buffer_ += line.substr(0, last == std::string_view::npos ? 0 : last + 1);
  buffer_ += '\n';
  if (buffer_.size() >= kBlock) {
    flush();
  }
}

void LineWriter::refuse(std::string what) {
  if (status_) {
    status_ = fail(ErrorCode::kOutOfRange,
                   std::move(what),
                   "line " + std::to_string(lines_) + " of the text");
  }
}

void LineWriter::flush() {
  if (status_ && !buffer_.empty()) {
    status_ = sink_->write(buffer_);
    buffer_.clear();
  }
}

Status LineWriter::finish() {
  flush();
  return std::move(status_);
}

}  // namespace stillpoint::products
