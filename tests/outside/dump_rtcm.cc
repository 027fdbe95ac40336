// Test program: what our raw layer makes of RTCM frames, field by field, for
// comparison with a general-purpose library.
//
//   dump_rtcm [--hex] [--break-field NAME] FILE
//
// FILE is a stream of bytes with frames anywhere in it, or, with --hex, one
// frame a line; lines with '#' are comments. For each frame
//   frame OFFSET LENGTH TYPE STATE
// where TYPE is "-" for an empty payload and STATE is "fields", "opaque" (a
// type that we do not decode) or "bad" (fields that do not fit); with "fields"
// a line a field follows, its integers as they stand on the wire:
//   DF009 2 3 21
// --break-field alters the first value of that name by one. Exit: 0; 2 usage;
// 3 the file cannot be read; 4 a message has a field that is not named in
// rtcm_fields.cc.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "rtcm_fields.h"
#include "stillpoint/rtcm/frame.h"

namespace {

using namespace stillpoint;
using outside::Fields;

bool decode(ByteSpan payload, rtcm::RawMsm& m) {
  return rtcm::decode_msm(payload, m);
}

template <class Message>
bool decode(ByteSpan payload, Message& m) {
  return rtcm::decode_fields(payload, m);
}

// STATE; the fields stand in `out`.
const char* read(ByteSpan payload, int type, Fields& out) {
  bool good = false;
  const bool known = outside::with_message(type, [&](auto message) {
    good = decode(payload, message);
    if (good && !outside::visit_all(out, message)) {
      std::fprintf(stderr, "%d: rtcm_fields.cc names too few fields\n", type);
      std::exit(4);
    }
  });
  if (!known) {
    return "opaque";
  }
  return good ? "fields" : "bad";
}

void print(ByteSpan frame, std::size_t offset, Fields& out) {
  const ByteSpan payload = rtcm::payload_of(frame);
  const std::optional<int> type = rtcm::message_type(payload);
  const char* state = type ? read(payload, *type, out) : "opaque";
  std::printf("frame %zu %zu %s %s\n",
              offset,
              frame.size(),
              type ? std::to_string(*type).c_str() : "-",
              state);
  std::fputs(out.take().c_str(), stdout);
}

void print_stream(ByteSpan bytes, Fields& out) {
  std::size_t at = 0;
  while (at + rtcm::kFrameOverhead <= bytes.size()) {
    const std::size_t length =
        (bytes[at + 1] & 3U) * 256U + bytes[at + 2] + rtcm::kFrameOverhead;
    const ByteSpan frame =
        bytes.subspan(at, std::min(length, bytes.size() - at));
    if (rtcm::is_good_frame(frame)) {
      print(frame, at, out);
      at += length;
    } else {
      ++at;
    }
  }
}

std::vector<std::uint8_t> from_hex(std::string_view line) {
  std::vector<std::uint8_t> bytes;
  for (std::size_t i = 0; i + 1 < line.size(); i += 2) {
    const std::string pair(line.substr(i, 2));
    bytes.push_back(
        static_cast<std::uint8_t>(std::strtoul(pair.c_str(), nullptr, 16)));
  }
  return bytes;
}

void print_hex(std::string_view text, Fields& out) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    if (!line.empty() && line[0] != '#') {
      const auto frame = from_hex(line);
      if (rtcm::is_good_frame(frame)) {
        print(frame, at, out);
      }
    }
    at = end + 1;
  }
}

}  // namespace

int main(int argc, char** argv) {
  bool hex = false;
  Fields out;
  const char* path = nullptr;
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word == "--hex") {
      hex = true;
    } else if (word == "--break-field" && i + 1 < argc) {
      out.break_field(argv[++i]);
    } else {
      path = path == nullptr ? argv[i] : "";
    }
  }
  if (path == nullptr || *path == '\0') {
    std::fputs("usage: dump_rtcm [--hex] [--break-field NAME] FILE\n", stderr);
    return 2;
  }
  std::ifstream file(path, std::ios::binary);
  const std::string content{std::istreambuf_iterator<char>(file), {}};
  if (!file) {
    std::fprintf(stderr, "%s cannot be read\n", path);
    return 3;
  }
  if (hex) {
    print_hex(content, out);
  } else {
    const std::vector<std::uint8_t> bytes(content.begin(), content.end());
    print_stream(bytes, out);
  }
  return 0;
}
