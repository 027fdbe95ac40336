#include "stillpoint/nmea/sentence.h"

#include <algorithm>
#include <utility>

#include "stillpoint/nmea/decoders.h"

namespace stillpoint::nmea {
namespace {

constexpr std::string_view kHex = "0123456789ABCDEF";
constexpr std::size_t kMaxAddress = 15;

int hex_value(char c) {
  const char upper = c >= 'a' && c <= 'f' ? static_cast<char>(c - 32) : c;
  const std::size_t at = kHex.find(upper);
  return at == kHex.npos ? -1 : static_cast<int>(at);
}

bool is_capital_or_digit(char c) {
  return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

// What stands between '$' and '*' of a sentence whose checksum is good.
Result<std::string_view> body_of(std::string_view text) {
  if (text.ends_with('\n')) {
    text.remove_suffix(1);
  }
  if (text.ends_with('\r')) {
    text.remove_suffix(1);
  }
  const std::size_t star = text.size() < 4 ? 0 : text.size() - 3;
  if (text.size() < 4 || (text[0] != '$' && text[0] != '!') ||
      text[star] != '*') {
    return fail(ErrorCode::kBadFormat, "not $...*hh");
  }
  const std::string_view body = text.substr(1, star - 1);
  const bool printable = std::all_of(body.begin(), body.end(), [](char c) {
    return c >= ' ' && c <= '~' && c != '$' && c != '*';
  });
  const int high = hex_value(text[star + 1]);
  const int low = hex_value(text[star + 2]);
  if (!printable || high < 0 || low < 0) {
    return fail(ErrorCode::kBadFormat, "characters that no sentence has");
  }
  if (checksum(body) != high * 16 + low) {
    return fail(ErrorCode::kBadChecksum,
                "checksum " + std::string(text.substr(star + 1)));
  }
  return body;
}

// Sets talker and type; false for an address that is none.
bool split_address(std::string_view address, Sentence& sentence) {
  if (address.size() < 3 || address.size() > kMaxAddress ||
      !std::all_of(address.begin(), address.end(), is_capital_or_digit)) {
    return false;
  }
  const std::size_t talker = address.starts_with('P') ? 1 : 2;
  sentence.talker = address.substr(0, talker);
  sentence.type = address.substr(talker);
  return true;
}

void decode_value(FieldReader& in, Sentence& sentence) {
  if (sentence.talker.size() != 2) {
    return;
  }
  if (sentence.type == "GGA") {
    sentence.value = decode_gga(in);
  } else if (sentence.type == "RMC") {
    sentence.value = decode_rmc(in);
  } else if (sentence.type == "GST") {
    sentence.value = decode_gst(in);
  } else if (sentence.type == "GSV") {
    sentence.value = decode_gsv(in, sentence.talker);
  }
}

}  // namespace

Result<Sentence> parse_sentence(std::string_view text) {
  const auto body = body_of(text);
  if (!body) {
    return fail(body.error());
  }
  const std::string_view address = body->substr(0, body->find(','));
  Sentence sentence;
  if (!split_address(address, sentence)) {
    return fail(ErrorCode::kBadFormat,
                "address '" + std::string(address.substr(0, 20)) + "'");
  }
  FieldReader in(*body, std::string(address));
  decode_value(in, sentence);
  if (sentence.kind() != Kind::kOther && in.error()) {
    return fail(*in.error());
  }
  return sentence;
}

std::uint8_t checksum(std::string_view body) {
  unsigned sum = 0;
  for (const char c : body) {
    sum ^= static_cast<unsigned char>(c);
  }
  return static_cast<std::uint8_t>(sum);
}

std::string frame_sentence(std::string_view body) {
  const unsigned sum = checksum(body);
  std::string text = "$";
  text += body;
  text += '*';
  text += kHex[sum / 16];
  text += kHex[sum % 16];
  text += "\r\n";
  return text;
}

}  // namespace stillpoint::nmea
