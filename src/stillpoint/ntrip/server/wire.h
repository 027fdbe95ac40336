// A rover's socket, plain or TLS, that never waits.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <utility>

#include "stillpoint/ntrip/server/server_tls.h"

namespace stillpoint::ntrip {

enum class Io : std::uint8_t {
  kDone,     // `bytes` of it, at least one
  kBlocked,  // not before the socket is ready again
  kClosed,   // by the other side
  kTimeout,  // the system gave up waiting for the other side
  kError,
};

struct IoResult {
  Io what = Io::kError;
  std::size_t bytes = 0;
};

class Wire {
 public:
  // Most pieces sent with one call.
  static constexpr std::size_t kMostPieces = 16;

  // Owns the socket.
  Wire(int fd, TlsSession tls) : fd_(fd), tls_(std::move(tls)) {}
  ~Wire();  // closes without a word where close() has not
  Wire(const Wire&) = delete;
  Wire& operator=(const Wire&) = delete;

  [[nodiscard]] int fd() const { return fd_; }
  [[nodiscard]] bool tls() const { return tls_ != nullptr; }

  // kDone once both sides are agreed.
  IoResult handshake();
  // In order; fewer bytes than given are no error. One piece of nothing left
  // of a TLS write must be given again first.
  IoResult send(std::span<const std::string_view> pieces);
  IoResult send(std::string_view piece) { return send({&piece, 1}); }
  IoResult receive(std::span<std::uint8_t> room);
  // TLS may hold bytes that the socket no longer shows.
  [[nodiscard]] bool holds_bytes() const;
  // Why handshake() was blocked: it has more to send, not to read.
  [[nodiscard]] bool wants_room() const;
  // Nothing more will be sent.
  void finish();
  // What the socket says is wrong with it.
  [[nodiscard]] Io trouble() const;
  // Closes; `reset`: the system forgets what it has not delivered.
  void close(bool reset);

 private:
  IoResult tls_outcome(int result) const;

  int fd_;
  TlsSession tls_;
};

}  // namespace stillpoint::ntrip
