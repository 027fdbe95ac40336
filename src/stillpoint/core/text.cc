#include "stillpoint/core/text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <vector>

namespace stillpoint {
namespace {

constexpr std::string_view kBlanks = " \t\r\n";

template <class T>
std::optional<T> parse_number(std::string_view text) {
  text = trim(text);
  if (text.starts_with('+')) {
    text.remove_prefix(1);
    if (text.starts_with('-')) {
      return std::nullopt;
    }
  }
  T value{};
  const char* end = text.data() + text.size();
  const auto [stopped, problem] = std::from_chars(text.data(), end, value);
  if (problem != std::errc{} || stopped != end) {
    return std::nullopt;
  }
  return value;
}

}  // namespace

std::string_view trim_right(std::string_view text) {
  return text.substr(0, text.find_last_not_of(kBlanks) + 1);
}

std::string_view trim(std::string_view text) {
  text = trim_right(text);
  return text.substr(std::min(text.find_first_not_of(kBlanks), text.size()));
}

std::optional<double> parse_double(std::string_view text) {
  const auto value = parse_number<double>(text);
  return value && std::isfinite(*value) ? value : std::nullopt;
}

std::optional<std::int64_t> parse_int(std::string_view text) {
  return parse_number<std::int64_t>(text);
}

std::optional<double> parse_duration_s(std::string_view text) {
  text = trim(text);
  struct Unit {
    std::string_view suffix;
    double s;
  };
  constexpr std::array kUnits{Unit{"ms", 0.001},
                              Unit{"s", 1},
                              Unit{"m", 60},
                              Unit{"h", 3600},
                              Unit{"d", 86'400}};
  double unit_s = 1;
  for (const Unit& unit : kUnits) {
    if (text.ends_with(unit.suffix)) {
      unit_s = unit.s;
      text.remove_suffix(unit.suffix.size());
      break;
    }
  }
  const auto number = parse_double(text);
  if (!number || *number < 0) {
    return std::nullopt;
  }
  return *number * unit_s;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  // Three rows of the usual table: before_last, last and current.
  std::vector<std::size_t> before_last(b.size() + 1);
  std::vector<std::size_t> last(b.size() + 1);
  std::vector<std::size_t> current(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) {
    last[j] = j;
  }
  for (std::size_t i = 1; i <= a.size(); ++i) {
    current[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      current[j] = std::min({last[j] + 1, current[j - 1] + 1, replaced});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        current[j] = std::min(current[j], before_last[j - 2] + 1);
      }
    }
    before_last.swap(last);
    last.swap(current);
  }
  return last[b.size()];
}

std::optional<std::string_view> suggest(
    std::string_view word, std::span<const std::string_view> candidates) {
  constexpr std::size_t kLongestWord = 64;
  if (word.size() > kLongestWord) {
    return std::nullopt;
  }
  std::optional<std::string_view> best;
  std::size_t best_distance = std::max<std::size_t>(1, word.size() / 3) + 1;
  for (const std::string_view candidate : candidates) {
    const std::size_t distance = edit_distance(word, candidate);
    if (distance < best_distance) {
      best = candidate;
      best_distance = distance;
    }
  }
  return best;
}

}  // namespace stillpoint
