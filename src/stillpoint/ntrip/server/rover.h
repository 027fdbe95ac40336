// One connection, as its worker keeps it. Only that worker touches it.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <limits>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/ntrip/server/chunk_ring.h"
#include "stillpoint/ntrip/server/fan_shared.h"
#include "stillpoint/ntrip/server/gga_keeper.h"
#include "stillpoint/ntrip/server/rover_request.h"
#include "stillpoint/ntrip/server/wire.h"

namespace stillpoint::ntrip {

// What epoll points at.
struct Watched {
  enum class Kind : std::uint8_t { kMailbox, kListener, kRover };
  explicit Watched(Kind what) : kind(what) {}
  const Kind kind;
};

struct ListenSocket : Watched {
  ListenSocket(int socket, bool with_tls)
      : Watched(Kind::kListener), fd(socket), tls(with_tls) {}
  const int fd;
  const bool tls;
};

struct Lane;

// Needed only until the stream begins.
struct Opening {
  RequestReader reader;
  std::string head;  // of the answer
  SharedText body;   // behind it, or nothing
  std::size_t sent = 0;
  bool then_stream = false;
};

inline constexpr std::chrono::nanoseconds kNever =
    std::chrono::nanoseconds::max();

struct Rover : Watched {
  enum class State : std::uint8_t {
    kHandshake,
    kRequest,
    kAsking,  // the Ledger
    kAnswer,  // being sent
    kStream,
    kLinger,  // answered; the other side may still read
  };

  Rover(const Arrival& arrival, TlsSession tls)
      : Watched(Kind::kRover),
        over_limit(arrival.over_limit),
        wire(arrival.fd, std::move(tls)),
        peer(arrival.peer),
        opening(std::make_unique<Opening>()) {}

  [[nodiscard]] bool blocked() const { return blocked_since != kNever; }

  // What every chunk touches stands together. `position` and `joined` are
  // offsets in the stream.
  State state = State::kHandshake;
  bool over_limit;
  bool framed = false;       // chunk framing
  bool told = false;         // on_connect was called
  bool holds_place = false;  // of FanShared::places
  Wire wire;
  Lane* lane = nullptr;
  std::uint64_t next = 0;      // sequence number of the chunk being sent
  std::size_t chunk_sent = 0;  // bytes of its form
  std::uint64_t position = 0;
  std::uint64_t wire_bytes = 0;
  std::chrono::nanoseconds blocked_since = kNever;  // epoll waits for room

  std::uint64_t joined = 0;
  std::size_t lane_index = 0;
  std::size_t index = 0;  // in the worker's list
  SessionId id = 0;
  std::chrono::nanoseconds deadline = kNever;  // of the state
  std::chrono::nanoseconds progress_due = kNever;
  std::chrono::nanoseconds until = kNever;  // the verdict's limits
  std::uint64_t most_bytes = 0;
  std::size_t heard = 0;
  PeerAddress peer;

  std::unique_ptr<Opening> opening;
  std::unique_ptr<GgaKeeper> gga;
};

// One mountpoint as one worker sees it. The window holds what some rover of
// this worker still has to get.
struct Lane {
  std::shared_ptr<ChunkRing> ring;
  StreamEnd end;            // behind what was fetched
  std::uint64_t first = 0;  // sequence number of the window's front
  std::deque<ChunkPointer> window;
  std::vector<Rover*> rovers;

  [[nodiscard]] const StreamChunk& chunk(std::uint64_t sequence) const {
    return *window[static_cast<std::size_t>(sequence - first)];
  }
};

}  // namespace stillpoint::ntrip
