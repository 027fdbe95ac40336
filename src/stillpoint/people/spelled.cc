#include "stillpoint/people/spelled.h"

#include <optional>

namespace stillpoint::people {
namespace {

constexpr std::string_view kAlphabet = "0123456789abcdefghjkmnpqrstvwxyz";
constexpr std::size_t kGroup = 5;
constexpr unsigned kSymbolBits = 5;

std::size_t symbols_of(std::size_t bytes) {
  return (8 * bytes + kSymbolBits - 1) / kSymbolBits;
}

std::optional<unsigned> symbol_of(char c) {
  const char small = c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
  const char meant = small == 'o'                   ? '0'
                     : small == 'i' || small == 'l' ? '1'
                                                    : small;
  const std::size_t at = kAlphabet.find(meant);
  return at == std::string_view::npos
             ? std::nullopt
             : std::optional(static_cast<unsigned>(at));
}

}  // namespace

std::string spell(std::span<const std::uint8_t> bytes) {
  const std::size_t all = symbols_of(bytes.size());
  std::string word;
  unsigned bits = 0, count = 0;
  std::size_t symbols = 0;
  const auto put = [&](unsigned symbol) {
    // The last group may have six: a single letter at the end looks torn off.
    if (symbols > 0 && symbols % kGroup == 0 && symbols + 1 < all) {
      word += '-';
    }
    word += kAlphabet[symbol];
    ++symbols;
  };
  for (const std::uint8_t byte : bytes) {
    bits = (bits << 8U | byte) & 0xFFFU;
    count += 8;
    for (; count >= kSymbolBits; count -= kSymbolBits) {
      put(bits >> (count - kSymbolBits) & 31U);
    }
  }
  if (count > 0) {
    put(bits << (kSymbolBits - count) & 31U);
  }
  return word;
}

bool read_spelled(std::string_view word, std::span<std::uint8_t> bytes) {
  const std::size_t all = symbols_of(bytes.size());
  std::size_t symbols = 0, size = 0;
  unsigned bits = 0, count = 0;
  for (const char c : word) {
    if (c == '-') {
      continue;
    }
    const auto symbol = symbol_of(c);
    if (!symbol || ++symbols > all) {
      return false;
    }
    bits = (bits << kSymbolBits | *symbol) & 0xFFFU;
    count += kSymbolBits;
    if (count >= 8) {
      count -= 8;
      bytes[size++] = static_cast<std::uint8_t>(bits >> count & 0xFFU);
    }
  }
  const bool rest_is_zero = (bits & ((1U << count) - 1)) == 0;
  return symbols == all && rest_is_zero;
}

}  // namespace stillpoint::people
