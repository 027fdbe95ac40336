#include "stillpoint/nmea/field_reader.h"

#include <algorithm>
#include <numbers>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::nmea {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// Digits, of which `whole` or more stand before an optional point; no sign, no
// exponent.
bool is_plain(std::string_view text, std::size_t whole) {
  const std::size_t point = std::min(text.find('.'), text.size());
  const std::string_view decimals =
      text.substr(std::min(point + 1, text.size()));
  return point >= whole &&
         std::all_of(text.begin(),
                     text.begin() + static_cast<std::ptrdiff_t>(point),
                     is_digit) &&
         std::all_of(decimals.begin(), decimals.end(), is_digit);
}

}  // namespace

FieldReader::FieldReader(std::string_view body, std::string address)
    : address_(std::move(address)) {
  for (std::size_t at = 0; at != std::string_view::npos;) {
    const std::size_t comma = body.find(',', at);
    if (count_ == kMaxFields) {
      fail_with(ErrorCode::kBadFormat, "too many fields");
      return;
    }
    fields_[count_++] = trim(body.substr(at, comma - at));
    at = comma == std::string_view::npos ? comma : comma + 1;
  }
}

bool FieldReader::has(std::size_t least) {
  if (count_ < least) {
    fail_with(ErrorCode::kTruncated,
              std::to_string(count_ - 1) + " fields, not " +
                  std::to_string(least - 1));
  }
  return count_ >= least;
}

std::string_view FieldReader::text(std::size_t index) const {
  return index < count_ ? fields_[index] : std::string_view{};
}

std::optional<double> FieldReader::number(std::size_t index,
                                          double low,
                                          double high) {
  if (text(index).empty()) {
    return std::nullopt;
  }
  const auto value = parse_double(text(index));
  if (!value) {
    fail_field(ErrorCode::kBadFormat, index);
  } else if (*value < low || *value > high) {
    fail_field(ErrorCode::kOutOfRange, index);
    return std::nullopt;
  }
  return value;
}

std::optional<int> FieldReader::integer(std::size_t index, int low, int high) {
  if (text(index).empty()) {
    return std::nullopt;
  }
  const auto value = parse_int(text(index));
  if (!value) {
    fail_field(ErrorCode::kBadFormat, index);
    return std::nullopt;
  }
  if (*value < low || *value > high) {
    fail_field(ErrorCode::kOutOfRange, index);
    return std::nullopt;
  }
  return static_cast<int>(*value);
}

std::optional<int> FieldReader::hex_digit(std::size_t index) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  if (text(index).empty()) {
    return std::nullopt;
  }
  const std::size_t value =
      text(index).size() == 1 ? kDigits.find(text(index)) : kDigits.npos;
  if (value == kDigits.npos) {
    fail_field(ErrorCode::kBadFormat, index);
    return std::nullopt;
  }
  return static_cast<int>(value);
}

std::optional<char> FieldReader::letter(std::size_t index,
                                        std::string_view allowed) {
  const std::string_view field = text(index);
  if (field.empty()) {
    return std::nullopt;
  }
  const char c = field.front();
  const bool known =
      allowed.empty() ? c >= 'A' && c <= 'Z' : allowed.find(c) != allowed.npos;
  if (field.size() != 1 || !known) {
    fail_field(ErrorCode::kBadFormat, index);
    return std::nullopt;
  }
  return c;
}

std::optional<double> FieldReader::utc_s(std::size_t index) {
  const std::string_view field = text(index);
  if (field.empty()) {
    return std::nullopt;
  }
  const auto hour = parse_int(field.substr(0, 2));
  const auto minute = parse_int(columns(field, 2, 2));
  const auto second = parse_double(columns(field, 4, field.size()));
  const bool shaped =
      is_plain(field, 6) && (field.size() == 6 || field[6] == '.');
  if (!shaped || !hour || !minute || !second) {
    fail_field(ErrorCode::kBadFormat, index);
    return std::nullopt;
  }
  const bool leap = *hour == 23 && *minute == 59 && *second < 61;
  if (*hour > 23 || *minute > 59 || (*second >= 60 && !leap)) {
    fail_field(ErrorCode::kOutOfRange, index);
    return std::nullopt;
  }
  return static_cast<double>(*hour * 3600 + *minute * 60) + *second;
}

std::optional<Date> FieldReader::date(std::size_t index) {
  const std::string_view field = text(index);
  if (field.empty()) {
    return std::nullopt;
  }
  const auto digits = parse_int(field);
  if (field.size() != 6 || !is_plain(field, 6) || !digits) {
    fail_field(ErrorCode::kBadFormat, index);
    return std::nullopt;
  }
  const int all = static_cast<int>(*digits);
  const int year = all % 100;
  const Date date{
      year < 80 ? 2000 + year : 1900 + year, all / 100 % 100, all / 10'000};
  if (!from_calendar({date.year, date.month, date.day, 0, 0, 0},
                     TimeScale::kUtc)) {
    fail_field(ErrorCode::kOutOfRange, index);
    return std::nullopt;
  }
  return date;
}

std::optional<double> FieldReader::angle_rad(std::size_t index,
                                             std::string_view halves) {
  const std::string_view field = text(index);
  const auto half = letter(index + 1, halves);
  if (field.empty()) {
    return std::nullopt;
  }
  const std::size_t point = std::min(field.find('.'), field.size());
  const auto minutes = parse_double(field.substr(point < 2 ? 0 : point - 2));
  if (!is_plain(field, 3) || point > 5 || !half || !minutes) {
    fail_field(ErrorCode::kBadFormat, index);
    return std::nullopt;
  }
  const auto degrees = parse_int(field.substr(0, point - 2));
  const double most = halves == "NS" ? 90 : 180;
  const double angle_deg =
      static_cast<double>(degrees.value_or(0)) + *minutes / 60;
  if (*minutes >= 60 || angle_deg > most) {
    fail_field(ErrorCode::kOutOfRange, index);
    return std::nullopt;
  }
  const double angle = angle_deg * std::numbers::pi / 180;
  return *half == halves.front() ? angle : -angle;
}

void FieldReader::fail_field(ErrorCode code, std::size_t index) {
  fail_with(code,
            "field " + std::to_string(index) + " is '" +
                std::string(text(index).substr(0, 20)) + "'");
}

void FieldReader::fail_with(ErrorCode code, std::string what) {
  if (!error_) {
    error_ = Error{code, std::move(what), address_, {}};
  }
}

}  // namespace stillpoint::nmea
