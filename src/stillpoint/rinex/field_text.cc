#include "stillpoint/rinex/field_text.h"

#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <limits>

namespace stillpoint::rinex::field {

char upper(char c) {
  return static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
}

std::string upper(std::string_view text) {
  std::string result(text);
  for (char& c : result) {
    c = upper(c);
  }
  return result;
}

std::string quoted(std::string_view text) {
  return "'" + std::string(trim(text.substr(0, 80))) + "'";
}

std::optional<int> integer(std::string_view text) {
  const auto value = parse_int(text);
  if (!value || *value < std::numeric_limits<int>::min() ||
      *value > std::numeric_limits<int>::max()) {
    return std::nullopt;
  }
  return static_cast<int>(*value);
}

std::optional<double> real(std::string_view text) {
  text = trim(text);
  if (!text.empty() && text.front() == '+') {
    text.remove_prefix(1);
  }
  std::array<char, 40> copy{};
  if (text.empty() || text.size() > copy.size()) {
    return std::nullopt;
  }
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    copy[i] = c == 'D' || c == 'd' ? 'e' : c;  // Fortran's double exponent
  }
  double value = 0;
  const char* end = copy.data() + text.size();
  const auto [rest, error] = std::from_chars(copy.data(), end, value);
  if (error != std::errc() || rest != end || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

Shape parse_odd(std::string_view text, double& value) {
  const std::optional<double> number = real(text);
  if (!number) {
    return trim(text).empty() ? Shape::kBlank : Shape::kBad;
  }
  if (*number == 0) {
    return Shape::kBlank;
  }
  value = *number;
  return Shape::kNumber;
}

}  // namespace stillpoint::rinex::field
