#include "stillpoint/ntrip/server/gga_keeper.h"

#include <string_view>

#include "stillpoint/ntrip/ascii.h"

namespace stillpoint::ntrip {
namespace {

bool checksum_fits(std::string_view line) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  if (line.size() < 10 || line[line.size() - 3] != '*') {
    return false;
  }
  unsigned sum = 0;
  for (const char c : line.substr(1, line.size() - 4)) {
    sum ^= static_cast<unsigned char>(c);
  }
  const auto upper = [](char c) {
    return c >= 'a' && c <= 'f' ? static_cast<char>(c - 'a' + 'A') : c;
  };
  return upper(line[line.size() - 2]) == kDigits[sum >> 4U & 0xFU] &&
         upper(line[line.size() - 1]) == kDigits[sum & 0xFU];
}

}  // namespace

void GgaKeeper::feed(ByteSpan bytes) {
  for (const std::uint8_t byte : bytes) {
    const char c = static_cast<char>(byte);
    if (c == '\n' || c == '\r') {
      end_line();
    } else if (!skipping_) {
      const bool fits = is_printable(c) && line_.size() < kMaxLine &&
                        (!line_.empty() || c == '$');
      if (fits) {
        line_ += c;
      } else {
        skipping_ = true;
      }
    }
  }
}

void GgaKeeper::end_line() {
  if (!skipping_ && line_.size() > 7 && line_.substr(3, 4) == "GGA," &&
      checksum_fits(line_)) {
    last_ = line_;
  }
  line_.clear();
  skipping_ = false;
}

}  // namespace stillpoint::ntrip
