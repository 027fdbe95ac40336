// Rovers' requests and what they say behind them. What must hold for any bytes:
// every split gives the same request and the same rest, a head is never longer
// than allowed, and what was read is fit for an answer.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <tuple>

#include "stillpoint/core/check.h"
#include "stillpoint/ntrip/ascii.h"
#include "stillpoint/ntrip/server/gga_keeper.h"
#include "stillpoint/ntrip/server/rover_answer.h"
#include "stillpoint/ntrip/server/rover_request.h"

namespace {

using stillpoint::ByteSpan;
using stillpoint::ntrip::GgaKeeper;
using stillpoint::ntrip::is_printable;
using stillpoint::ntrip::RequestReader;
using stillpoint::ntrip::RoverRequest;

struct Outcome {
  RequestReader::State state = RequestReader::State::kMore;
  int status = 0;
  std::size_t head = 0;  // bytes taken
  std::string gga;
  std::string mount, user, password, user_agent, told;
  int version = 0;
  bool http11 = false;

  [[nodiscard]] auto values() const {
    return std::tie(state,
                    status,
                    head,
                    gga,
                    mount,
                    user,
                    password,
                    user_agent,
                    told,
                    version,
                    http11);
  }
};

Outcome read(ByteSpan bytes, std::size_t first, std::size_t size) {
  RequestReader reader;
  GgaKeeper keeper;
  Outcome outcome;
  while (!bytes.empty()) {
    const ByteSpan piece = bytes.first(std::min(first, bytes.size()));
    bytes = bytes.subspan(piece.size());
    first = size;
    ByteSpan left = piece;
    outcome.state = reader.feed(left);
    outcome.head += piece.size() - left.size();
    keeper.feed(left);
  }
  const RoverRequest& request = reader.request();
  outcome.status = reader.status();
  outcome.gga = keeper.last();
  outcome.mount = request.mount;
  outcome.user = request.user;
  outcome.password = request.password;
  outcome.user_agent = request.user_agent;
  outcome.told = request.gga;
  outcome.version = static_cast<int>(request.version);
  outcome.http11 = request.http11;
  return outcome;
}

void check_answer(const Outcome& outcome) {
  using stillpoint::ntrip::Version;
  const std::string text = stillpoint::ntrip::refusal_text(
      401,
      outcome.version == 2 ? Version::k2 : Version::k1,
      outcome.mount,
      {.program_version = "0", .unix_s = 0});
  // One head, one empty line, whatever the mountpoint's name.
  STILLPOINT_CHECK(text.find("\r\n\r\n") == text.rfind("\r\n\r\n"));
  STILLPOINT_CHECK(
      std::all_of(outcome.mount.begin(), outcome.mount.end(), is_printable));
  STILLPOINT_CHECK(outcome.mount.size() <= RequestReader::kMaxMount);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size == 0 || size > kMaxSize) {
    return 0;
  }
  const ByteSpan bytes(data, size);
  const Outcome whole = read(bytes, size, size);
  STILLPOINT_CHECK(whole.head <= RequestReader::kMaxHead + 1);
  STILLPOINT_CHECK(whole.state != RequestReader::State::kMore ||
                   whole.head == size);
  STILLPOINT_CHECK((whole.state == RequestReader::State::kRefused) ==
                       (whole.status != 0) ||
                   whole.state == RequestReader::State::kMore);
  STILLPOINT_CHECK(whole.gga.size() <= GgaKeeper::kMaxLine);
  STILLPOINT_CHECK(read(bytes, 1, 1).values() == whole.values());
  STILLPOINT_CHECK(read(bytes, 1 + data[size - 1], 7).values() ==
                   whole.values());
  STILLPOINT_CHECK(read(bytes, size / 2 + 1, size).values() == whole.values());
  check_answer(whole);
  return 0;
}
