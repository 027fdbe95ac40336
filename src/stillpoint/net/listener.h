// Where bytes are played to as a receiver would send them: to all who connect
// to a TCP port, or to who opens a pseudo-terminal.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::net {

// A receiver waits for nobody: without a reader bytes are lost, and a reader
// that falls kMostWaiting behind loses its connection (TCP) or what waits for
// it (terminal). What readers send is read and dropped.
class ByteOutlet {
 public:
  static constexpr std::size_t kMostWaiting = std::size_t{1} << 20;

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
//   port     0: a free one, see where()
//   errors   kIo when the port is taken or not allowed
Result<std::unique_ptr<ByteOutlet>> open_tcp_outlet(Loop& loop,
                                                    std::uint16_t port);

//   errors   kIo when the system has no pseudo-terminal left
Result<std::unique_ptr<ByteOutlet>> open_pty_outlet(Loop& loop);

}  // namespace stillpoint::net
