// The fields of a sentence, read one by one. The first field that is wrong is
// kept as the error; reads after it go on and mean nothing, so that a decoder
// asks once.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/nmea/sentence.h"

namespace stillpoint::nmea {

class FieldReader {
 public:
  // The longest sentence decoded here, GSV with its signal, has 21 fields with
  // the address; makers add one or two.
  static constexpr std::size_t kMaxFields = 40;

  // body: between '$' and '*'. Field 0 is the address.
  FieldReader(std::string_view body, std::string address);

  [[nodiscard]] std::size_t count() const { return count_; }
  // False, with an error, for fewer than `least` fields, the address included.
  bool has(std::size_t least);
  // Blanks at its ends aside; empty past the last one.
  [[nodiscard]] std::string_view text(std::size_t index) const;

  // Nothing for an empty field, and for a wrong one.
  std::optional<double> number(std::size_t index, double low, double high);
  std::optional<int> integer(std::size_t index, int low, int high);
  std::optional<int> hex_digit(std::size_t index);
  // One of `allowed`, or any capital letter where that is empty.
  std::optional<char> letter(std::size_t index, std::string_view allowed);
  // "hhmmss" with any decimals.
  std::optional<double> utc_s(std::size_t index);
  // "ddmmyy".
  std::optional<Date> date(std::size_t index);
  // "dddmm" with any decimals and, in the next field, the letter of the half;
  // a letter without a number is no value.
  std::optional<double> angle_rad(std::size_t index, std::string_view halves);

  void fail_field(ErrorCode code, std::size_t index);
  [[nodiscard]] const std::optional<Error>& error() const { return error_; }

 private:
  void fail_with(ErrorCode code, std::string what);

  std::array<std::string_view, kMaxFields> fields_{};
  std::size_t count_ = 0;
  std::string address_;
  std::optional<Error> error_;
};

}  // namespace stillpoint::nmea
