// One connection to a caster, plain or TLS, that never waits.
#pragma once

#include <openssl/ssl.h>

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "stillpoint/core/bytes.h"

namespace stillpoint::bench {

// As many descriptors as the system lets us have.
void raise_descriptor_limit();

struct Origin {
  std::string first = "127.0.0.1";  // the n-th connection comes from
  unsigned addresses = 1;           // first + n % addresses
};

struct Received {
  bool closed = false;
  ByteSpan bytes;              // good until the next call
  std::int64_t socket_ns = 0;  // when the last of them reached the socket
};

//   threads  one at a time
class RoverSocket {
 public:
  RoverSocket() = default;
  ~RoverSocket();
  RoverSocket(const RoverSocket&) = delete;
  RoverSocket& operator=(const RoverSocket&) = delete;

  // Begins a connection to 127.0.0.1; false when the system has none left.
  //
  //   receive_buffer  bytes, 0: the system's choice
  bool open(const Origin& origin,
            unsigned n,
            std::uint16_t port,
            bool tls,
            int receive_buffer = 0);
  [[nodiscard]] int fd() const { return fd_; }
  // What to send once it can be sent.
  void say(std::string_view text) { out_ += text; }
  // When the socket is ready for it; false: closed.
  bool push();
  // Whether push() has more to do.
  [[nodiscard]] bool has_more() const;
  Received receive();
  void close();

 private:
  bool drain_tls();

  struct FreeSsl {
    void operator()(SSL* ssl) const { SSL_free(ssl); }
  };
  int fd_ = -1;
  std::string out_;
  std::string sealed_;  // of out_, under TLS
  std::unique_ptr<SSL, FreeSsl> tls_;
};

}  // namespace stillpoint::bench
