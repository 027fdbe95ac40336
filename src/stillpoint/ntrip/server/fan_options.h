// What the fan-out may use, and what it has done.
#pragma once

#include <array>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>

#include "stillpoint/ntrip/server/ledger.h"

namespace stillpoint::ntrip {

// May change while it runs.
struct FanOutLimits {
  // Counted when somebody comes: nobody leaves because these became lower.
  std::size_t most_rovers = 10'000;       // with a stream; beyond: 503
  std::size_t most_connections = 12'000;  // beyond: closed without a word
  std::size_t most_per_address = 1'000;   // beyond: 503

  // A rover is cut when more waits for it, or something older, or when it
  // takes nothing for so long.
  std::size_t lag_bytes = std::size_t{256} * 1024;
  std::chrono::nanoseconds lag_age = std::chrono::seconds{15};
  std::chrono::nanoseconds write_deadline = std::chrono::seconds{10};

  // For a handshake and a request.
  std::chrono::nanoseconds request_deadline = std::chrono::seconds{10};
};

struct FanOutOptions : FanOutLimits {
  std::string program_version;
  std::chrono::nanoseconds verdict_deadline = std::chrono::seconds{10};
  std::chrono::nanoseconds linger = std::chrono::seconds{2};
  std::chrono::nanoseconds progress_every = std::chrono::seconds{60};
  // What a rover may say behind its request in ten seconds.
  std::size_t most_heard = std::size_t{16} * 1024;
  // Of the system's memory, a socket; 0 leaves it to the system.
  int send_buffer_bytes = 64 * 1024;
};

// Both are called from every worker.
struct ServerClock {
  std::function<std::chrono::nanoseconds()> steady;  // from any begin
  std::function<std::int64_t()> unix_s;
};

struct FanOutCounts {
  std::uint64_t connections = 0;  // at present
  std::uint64_t rovers = 0;       // of them, sessions that the Ledger knows
  std::uint64_t arrived = 0;      // connections so far
  std::uint64_t turned_away = 0;  // closed without a word: too many
  std::uint64_t refused = 0;      // answered 4xx or 5xx
  std::uint64_t sessions = 0;     // so far
  std::uint64_t chunks = 0;       // delivered to the last byte
  std::uint64_t wire_bytes = 0;
  // Bytes of the streams, framing not counted. Every byte published is offered
  // to each rover that listens at that time; then it is sent, or unsent when
  // the rover goes, or still waits.
  std::uint64_t offered_bytes = 0, sent_bytes = 0, unsent_bytes = 0;
  std::array<std::uint64_t, kDepartures> departures{};  // by Departure
};

}  // namespace stillpoint::ntrip
