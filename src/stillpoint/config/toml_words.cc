// Values as station.toml writes them.
#include <charconv>

#include "stillpoint/config/settings.h"

namespace stillpoint::config {

std::string toml_text(std::string_view text) {
  std::string result = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      result += '\\';
    }
    result += c;
  }
  return result + "\"";
}

std::string toml_list(const std::vector<std::string>& texts) {
  std::string result;
  for (const std::string& text : texts) {
    result += (result.empty() ? "" : ", ") + toml_text(text);
  }
  return "[" + result + "]";
}

std::string toml_list(std::span<const std::string_view> words) {
  std::string result;
  for (const std::string_view word : words) {
    result += (result.empty() ? "" : ", ") + toml_text(word);
  }
  return result;
}

std::string toml_number(double number) {
  std::array<char, 32> text{};
  // Enough for the shortest form of every double.
  const auto [end, problem] =
      std::to_chars(text.data(), text.data() + text.size(), number);
  return {text.data(), end};
}

}  // namespace stillpoint::config
