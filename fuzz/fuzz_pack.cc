// Unpacking and lines. What must hold for any bytes: the same content however
// it is asked for, lines that add up to it, no more memory than the caller
// gives.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/pack/line_reader.h"

namespace {

using stillpoint::ByteStream;

// A small input may unpack to any size.
constexpr std::size_t kEnough = 1 << 20;

struct Content {
  std::string bytes;
  bool failed = false;
};

Content drain(ByteStream& stream, std::size_t step) {
  Content content;
  std::string block(step, '\0');
  while (content.bytes.size() < kEnough) {
    const auto got = stream.read(block);
    if (!got) {
      STILLPOINT_CHECK(!got.error().what.empty());
      content.failed = true;
      break;
    }
    STILLPOINT_CHECK(*got <= block.size());
    if (*got == 0) {
      break;
    }
    content.bytes.append(block, 0, *got);
  }
  return content;
}

// Every line and its end, as LineReader tells them.
void check_lines(std::span<const char> bytes, const Content& content) {
  stillpoint::LineReader reader(stillpoint::unpack_memory(bytes, "fuzz"));
  std::string_view rest = content.bytes;
  std::string_view line;
  while (rest.size() > 2 * stillpoint::LineReader::kMaxLine) {
    const auto more = reader.next(line);
    if (!more || !*more) {
      return;
    }
    STILLPOINT_CHECK(rest.starts_with(line));
    rest.remove_prefix(line.size());
    if (rest.starts_with('\r')) {
      rest.remove_prefix(1);
    }
    STILLPOINT_CHECK(rest.starts_with('\n'));
    rest.remove_prefix(1);
  }
  for (;;) {
    const auto more = reader.next(line);
    if (!more || !*more) {
      return;
    }
    STILLPOINT_CHECK(line.size() <= stillpoint::LineReader::kMaxLine);
    if (content.bytes.size() >= kEnough) {
      return;
    }
    STILLPOINT_CHECK(rest.starts_with(line));
    rest.remove_prefix(std::min(rest.size(), rest.find('\n', line.size()) + 1));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::span<const char> bytes(reinterpret_cast<const char*>(data), size);
  const Content wide =
      drain(*stillpoint::unpack_memory(bytes, "fuzz"), std::size_t{64} * 1024);
  const Content narrow = drain(*stillpoint::unpack_memory(bytes, "fuzz"), 61);
  if (wide.bytes.size() < kEnough) {
    STILLPOINT_CHECK(wide.failed == narrow.failed);
    STILLPOINT_CHECK(wide.failed || wide.bytes == narrow.bytes);
  }
  check_lines(bytes, narrow);
  return 0;
}
