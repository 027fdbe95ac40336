#include "stillpoint/rinex/observation_writer_fields.h"

#include <algorithm>
#include <array>
#include <cstring>

namespace stillpoint::rinex {
namespace {

// "00" .. "99".
constexpr auto kPairs = [] {
  std::array<char, 200> pairs{};
  for (std::size_t i = 0; i < 100; ++i) {
    pairs[2 * i] = static_cast<char>('0' + i / 10);
    pairs[2 * i + 1] = static_cast<char>('0' + i % 10);
  }
  return pairs;
}();

char digit(std::uint64_t number) {
  return static_cast<char>('0' + number % 10);
}

}  // namespace

bool print_fixed(char* to, std::int64_t number, int width, int decimals) {
  std::fill_n(to, width, ' ');
  int at = width;
  std::uint64_t rest = number < 0 ? 0 - static_cast<std::uint64_t>(number)
                                  : static_cast<std::uint64_t>(number);
  int place = 0;
  bool fits = true;
  const auto put = [&](char c) {
    fits = fits && at > 0;
    if (fits) {
      to[--at] = c;
    }
  };
  for (; place <= decimals || rest != 0; ++place, rest /= 10) {
    if (place == decimals && decimals > 0) {
      put('.');
    }
    put(digit(rest));
  }
  if (number < 0) {
    put('-');
  }
  if (!fits) {
    std::fill_n(to, width, ' ');
  }
  return fits;
}

bool append_fixed(std::string& to,
                  std::int64_t number,
                  int width,
                  int decimals) {
  const std::size_t size = to.size();
  to.resize(size + static_cast<std::size_t>(width));
  const bool fits = print_fixed(to.data() + size, number, width, decimals);
  if (!fits) {
    to.resize(size);
  }
  return fits;
}

void print_f14_3(char* to, std::int64_t thousandths) {
  constexpr std::size_t kPoint = 10;
  std::memset(to, ' ', kPoint);
  const std::int64_t sign = thousandths < 0 ? -1 : 1;
  const auto size = static_cast<std::uint64_t>(sign * thousandths);
  const std::uint64_t decimals = size % 1000;
  to[kPoint] = '.';
  to[kPoint + 1] = static_cast<char>('0' + decimals / 100);
  std::memcpy(to + kPoint + 2, &kPairs[2 * (decimals % 100)], 2);
  std::uint64_t rest = size / 1000;
  char* at = to + kPoint;
  while (rest >= 100) {
    at -= 2;
    std::memcpy(at, &kPairs[2 * (rest % 100)], 2);
    rest /= 100;
  }
  if (rest >= 10) {
    *--at = digit(rest);
    rest /= 10;
  }
  *--at = digit(rest);
  if (sign < 0) {
    *--at = '-';
  }
}

void append_integer(std::string& to, std::int64_t number, int width) {
  const std::string text = std::to_string(number);
  const auto wanted = static_cast<std::size_t>(width);
  to.append(wanted > text.size() ? wanted - text.size() : 0, ' ');
  to += text;
}

void append_padded(std::string& to, int number, int width) {
  const std::string text = std::to_string(number);
  const auto wanted = static_cast<std::size_t>(width);
  to.append(wanted > text.size() ? wanted - text.size() : 0, '0');
  to += text;
}

void pad(std::string& text, std::size_t size) {
  if (text.size() < size) {
    text.resize(size, ' ');
  }
}

void trim_end(std::string& text, std::size_t from) {
  while (text.size() > from && text.back() == ' ') {
    text.pop_back();
  }
}

}  // namespace stillpoint::rinex
