// Heads of casters' answers. What must hold for any bytes: every split gives
// the same head and the same body; the body is the end of the input; a head is
// never longer than allowed.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <tuple>

#include "stillpoint/core/check.h"
#include "stillpoint/ntrip/refusal.h"
#include "stillpoint/ntrip/response.h"

namespace {

using stillpoint::ByteSpan;
using stillpoint::ntrip::ResponseHead;
using stillpoint::ntrip::ResponseKind;
using stillpoint::ntrip::ResponseReader;

struct Outcome {
  ResponseHead head;
  std::string body, error;
  bool complete = false, at_end = false;
};

bool same(const Outcome& a, const Outcome& b) {
  const auto values = [](const Outcome& o) {
    const ResponseHead& h = o.head;
    return std::tie(h.kind,
                    h.status,
                    h.version,
                    h.first_line,
                    h.chunked,
                    h.content_length,
                    h.ntrip_version,
                    h.content_type,
                    h.www_authenticate,
                    h.location,
                    o.body,
                    o.error,
                    o.complete,
                    o.at_end);
  };
  return values(a) == values(b);
}

Outcome read(ByteSpan bytes, std::size_t first, std::size_t size) {
  ResponseReader reader;
  Outcome outcome;
  while (!bytes.empty() && !outcome.complete) {
    const ByteSpan piece = bytes.first(std::min(first, bytes.size()));
    bytes = bytes.subspan(piece.size());
    first = size;
    const auto complete = reader.feed(piece);
    if (!complete) {
      outcome.error = complete.error().what;
      return outcome;
    }
    outcome.complete = *complete;
  }
  if (!outcome.complete) {
    const auto complete = reader.finish();
    if (!complete) {
      outcome.error = complete.error().what;
      return outcome;
    }
    outcome.at_end = *complete;
  }
  if (outcome.complete || outcome.at_end) {
    outcome.head = reader.head();
    const ByteSpan body = reader.body();
    outcome.body.assign(body.begin(), body.end());
    outcome.body.append(bytes.begin(), bytes.end());
  }
  return outcome;
}

// Words for people hold nothing that a terminal would obey.
void check_words(const ResponseHead& head) {
  stillpoint::net::SourceAddress address;
  address.text = "ntrip://caster.example/LHOL00XXX";
  address.mount = "LHOL00XXX";
  const stillpoint::Error error = stillpoint::ntrip::explain(head, address);
  STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
  const std::string said = error.what + error.remedy;
  STILLPOINT_CHECK(std::none_of(said.begin(), said.end(), [](char c) {
    return (c >= '\0' && c < ' ') || c == '\x7F';
  }));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{96} * 1024;  // bounded time
  if (size == 0 || size > kMaxSize) {
    return 0;
  }
  const ByteSpan bytes(data, size);
  const Outcome whole = read(bytes, size, size);
  STILLPOINT_CHECK(whole.body.size() <= size);
  STILLPOINT_CHECK(std::equal(whole.body.rbegin(),
                              whole.body.rend(),
                              std::make_reverse_iterator(bytes.end()),
                              [](char a, std::uint8_t b) {
                                return static_cast<std::uint8_t>(a) == b;
                              }));
  STILLPOINT_CHECK(!whole.complete ||
                   size - whole.body.size() <= ResponseReader::kMaxHead);
  STILLPOINT_CHECK(same(read(bytes, 1, 1), whole));
  STILLPOINT_CHECK(same(read(bytes, 1 + data[size - 1], 7), whole));
  STILLPOINT_CHECK(same(read(bytes, size / 2 + 1, size), whole));
  if (whole.complete || whole.at_end) {
    check_words(whole.head);
  }
  return 0;
}
