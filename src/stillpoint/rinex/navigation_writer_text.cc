// Numbers and lines of navigation files.
#include <algorithm>
#include <charconv>
#include <cmath>

#include "stillpoint/rinex/navigation_fields.h"
#include "stillpoint/rinex/navigation_writer_parts.h"

namespace stillpoint::rinex::nav {
namespace {

constexpr double kSmallest = 1e-99;
constexpr double kTooLarge = 9.9999e99;
constexpr std::size_t kLabelColumn = 60;

std::string field(double value, std::size_t width, int decimals, char letter) {
  if (std::isnan(value)) {
    return std::string(width, ' ');
  }
  std::array<char, 32> buffer{};
  const auto [end, error] =
      std::to_chars(buffer.data(),
                    buffer.data() + buffer.size(),
                    std::abs(value) < kSmallest ? 0.0 : value,
                    std::chars_format::scientific,
                    decimals);
  std::string text(buffer.data(), end);
  std::replace(text.begin(), text.end(), 'e', letter);
  text.insert(0, width > text.size() ? width - text.size() : 0, ' ');
  return text;
}

bool is_whole(double value) {
  return value == std::floor(value);
}

}  // namespace

std::string field19(double value, char letter) {
  constexpr int kDecimals = 12;
  return field(value, 19, kDecimals, letter);
}

std::string field12(double value, char letter) {
  constexpr int kDecimals = 4;
  return field(value, 12, kDecimals, letter);
}

std::string aligned(int value, std::size_t width, char filler) {
  std::string text = std::to_string(value);
  text.insert(0, width > text.size() ? width - text.size() : 0, filler);
  return text;
}

std::string header_text(std::string_view text, std::string_view label) {
  std::string line(text);
  line.resize(kLabelColumn, ' ');
  line += label;
  line += '\n';
  return line;
}

double version_number(Version version) {
  switch (version) {
    case Version::k211:
      return 2.11;
    case Version::k305:
      return 3.05;
    default:
      return 4.02;
  }
}

bool RecordText::fits() const {
  return std::all_of(cells_.begin(), cells_.end(), [](const auto& row) {
    return std::all_of(row.begin(), row.end(), [](double v) {
      return std::isnan(v) || std::abs(v) < kTooLarge;
    });
  });
}

std::string RecordText::text(std::string_view head, Version version) const {
  const char letter = version == Version::k211 ? 'D' : 'E';
  const Layout& layout = layout_of(version_number(version));
  std::string all;
  for (std::size_t row = 0; row < rows_; ++row) {
    std::string line =
        row == 0 ? std::string(head) : std::string(layout.continuation, ' ');
    for (std::size_t column = row == 0 ? 1 : 0; column < 4; ++column) {
      line += field19(cells_[row][column], letter);
    }
    if (is_blank(line)) {
      // Readers that step over blank lines would count the rows wrong.
      line =
          std::string(layout.continuation, ' ') + field19(kUnknownMark, letter);
    }
    line.erase(line.find_last_not_of(' ') + 1);
    all += line;
    all += '\n';
  }
  return all;
}

std::optional<std::string> record_head(std::string_view name,
                                       const Calendar& time,
                                       Version version) {
  std::string head(name);
  if (version != Version::k211) {
    if (!is_whole(time.second)) {
      return std::nullopt;
    }
    head.resize(3, ' ');
    head += ' ';
    head += aligned(time.year, 4, '0');
    for (const int part : {time.month,
                           time.day,
                           time.hour,
                           time.minute,
                           static_cast<int>(time.second)}) {
      head += ' ';
      head += aligned(part, 2, '0');
    }
    return head;
  }
  // The years of two digits, and a letter is not written.
  constexpr int kFirstYear = 1980, kLastYear = 2079;
  const double tenths = std::round(time.second * 10);
  if (time.year < kFirstYear || time.year > kLastYear ||
      std::abs(tenths - time.second * 10) > 1e-6) {
    return std::nullopt;
  }
  head.erase(0, 1);
  head.front() = head.front() == '0' ? ' ' : head.front();
  head += ' ';
  head += aligned(time.year % 100, 2, '0');
  for (const int part : {time.month, time.day, time.hour, time.minute}) {
    head += aligned(part, 3);
  }
  const int whole = static_cast<int>(tenths);
  head += aligned(whole / 10, 3);
  head += '.';
  head += aligned(whole % 10, 1);
  return head;
}

}  // namespace stillpoint::rinex::nav
