// Bodies in chunks. What must hold for any bytes: every split gives the same
// body, the same error and the same rest; no more comes out than went in, and
// what comes out lies in what went in.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>

#include "stillpoint/core/check.h"
#include "stillpoint/ntrip/chunked.h"

namespace {

using stillpoint::ByteSpan;

struct Outcome {
  std::string body, rest, error;
  bool done = false;
  bool operator==(const Outcome&) const = default;
};

// In pieces of `first`, then of `size` bytes.
Outcome decode(ByteSpan bytes, std::size_t first, std::size_t size) {
  stillpoint::ntrip::ChunkedDecoder decoder;
  Outcome outcome;
  while (!bytes.empty()) {
    const ByteSpan piece = bytes.first(std::min(first, bytes.size()));
    bytes = bytes.subspan(piece.size());
    first = size;
    ByteSpan left = piece;
    for (;;) {
      const auto part = decoder.next(left);
      if (!part) {
        STILLPOINT_CHECK(part.error().code ==
                         stillpoint::ErrorCode::kBadFormat);
        outcome.error = part.error().text();
        return outcome;
      }
      if (part->empty()) {
        break;
      }
      STILLPOINT_CHECK(part->data() >= piece.data() &&
                       part->data() + part->size() <=
                           piece.data() + piece.size());
      outcome.body.append(part->begin(), part->end());
    }
    STILLPOINT_CHECK(left.empty() || decoder.done());
    outcome.rest.append(left.begin(), left.end());
  }
  outcome.done = decoder.done();
  return outcome;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{96} * 1024;  // bounded time
  if (size == 0 || size > kMaxSize) {
    return 0;
  }
  const ByteSpan bytes(data, size);
  const Outcome whole = decode(bytes, size, size);
  STILLPOINT_CHECK(whole.body.size() + whole.rest.size() <= size);
  STILLPOINT_CHECK(decode(bytes, 1, 1) == whole);
  STILLPOINT_CHECK(decode(bytes, 1 + data[size - 1], 7) == whole);
  STILLPOINT_CHECK(decode(bytes, size / 2 + 1, size) == whole);
  return 0;
}
