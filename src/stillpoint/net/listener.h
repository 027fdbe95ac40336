// Where bytes are played to as a receiver would send them: to all who connect
// to a TCP port, or to who opens a pseudo-terminal. What these say in return
// can be handed on to the receiver, so that its maker's own tool may talk to
// it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::net {

// What readers send, in order for each of them, at most kMostFromReader bytes a
// call; with several readers their pieces mix. Called from the loop's run() (a
// terminal's also from send()), not after the outlet is gone; it may send() and
// must not destroy the outlet. Nothing is stored: what the callee does not take
// is lost.
using FromReaders = std::function<void(ByteSpan bytes)>;

// A receiver waits for nobody: without a reader bytes are lost, and a reader
// that falls kMostWaiting behind loses its connection (TCP) or what waits for
// it (terminal).
class ByteOutlet {
 public:
  static constexpr std::size_t kMostWaiting = std::size_t{1} << 20;
  static constexpr std::size_t kMostFromReader = 1024;

  virtual ~ByteOutlet() = default;
  // To all readers.
  //
  //   errors   kIo when the outlet itself no longer works
  virtual Status send(ByteSpan bytes) = 0;
  // As a source that reads it: "tcp://127.0.0.1:41234", "serial:/dev/pts/3".
  [[nodiscard]] virtual std::string where() const = 0;
  // Readers at present.
  [[nodiscard]] virtual std::size_t clients() const = 0;
  // Bytes that the slowest reader still has to take: a caller that is faster
  // than any receiver waits for 0.
  [[nodiscard]] virtual std::size_t waiting() const = 0;
};

// Listens on this computer only (127.0.0.1), for up to 64 readers.
//
//   port          0: a free one, see where()
//   from_readers  empty: what they send is read and dropped
//   errors        kIo when the port is taken or not allowed
Result<std::unique_ptr<ByteOutlet>> open_tcp_outlet(
    Loop& loop, std::uint16_t port, FromReaders from_readers = {});

// With from_readers the loop's run() has something to do as long as the outlet
// lives, and a terminal that nobody has open is looked at ten times a second.
//
//   from_readers  as above
//   errors        kIo when the system has no pseudo-terminal left
Result<std::unique_ptr<ByteOutlet>> open_pty_outlet(
    Loop& loop, FromReaders from_readers = {});

}  // namespace stillpoint::net
