#include "stillpoint/ntrip/server/credentials.h"

#include <cstdint>

#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/ascii.h"
#include "stillpoint/ntrip/request.h"

namespace stillpoint::ntrip {
namespace {

int sextet(char c) {
  if (c >= 'A' && c <= 'Z') {
    return c - 'A';
  }
  if (c >= 'a' && c <= 'z') {
    return c - 'a' + 26;
  }
  if (is_digit(c)) {
    return c - '0' + 52;
  }
  return c == '+' ? 62 : c == '/' ? 63 : -1;
}

bool decode_base64(std::string_view text, std::string& out) {
  int padding = 0;
  while (!text.empty() && text.back() == '=' && padding < 2) {
    text.remove_suffix(1);
    ++padding;
  }
  const std::size_t over = text.size() % 4;
  if (over == 1 ||
      (padding > 0 && over + static_cast<unsigned>(padding) != 4)) {
    return false;
  }
  out.reserve(text.size());
  std::uint32_t bits = 0;
  int held = 0;
  for (const char c : text) {
    const int value = sextet(c);
    if (value < 0) {
      return false;
    }
    bits = (bits << 6 | static_cast<std::uint32_t>(value)) & 0xFFFFU;
    held += 6;
    if (held >= 8) {
      held -= 8;
      out += static_cast<char>(static_cast<std::uint8_t>(bits >> held & 0xFFU));
    }
  }
  return true;
}

}  // namespace

std::optional<Credentials> parse_basic(std::string_view value) {
  constexpr std::string_view kBasic = "Basic ";
  if (!starts_with_text(value, kBasic)) {
    return std::nullopt;
  }
  std::optional<Credentials> credentials;
  std::string plain;
  const bool good = decode_base64(trim(value.substr(kBasic.size())), plain);
  const std::size_t colon = plain.find(':');
  if (good && colon != std::string::npos) {
    credentials = Credentials{plain.substr(0, colon), plain.substr(colon + 1)};
  }
  wipe(plain);
  return credentials;
}

}  // namespace stillpoint::ntrip
