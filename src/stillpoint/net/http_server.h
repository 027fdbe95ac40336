// A small HTTP server for pages made on the spot: GET and HEAD, connections
// that stay, no bodies of requests. A slow or hostile client costs only its own
// connection, and a newcomer always finds room.
//
//   source   RFC 9112, RFC 9110
//   differs  no Date: nothing here reads the time of day
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/net/http_message.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::net {

struct HttpServerOptions {
  // At a time, at least 1. For one more the oldest that waits for a request
  // goes; else the one that has been sending its head the longest; else the one
  // that has been taking its answer the longest.
  std::size_t most_connections = 64;
  // From the first byte of a head to its last, however fast they come.
  std::chrono::nanoseconds head_deadline = std::chrono::seconds{5};
  // For the whole answer.
  std::chrono::nanoseconds write_deadline = std::chrono::seconds{10};
  // Between requests, and before the first.
  std::chrono::nanoseconds idle_deadline = std::chrono::seconds{30};
  // How long the client's last bytes are read away, so that it gets the last
  // answer and no reset (RFC 9112, section 9.6).
  std::chrono::nanoseconds linger = std::chrono::seconds{2};
};

//   threads  the loop's
class HttpServer {
 public:
  // Listens from now on; the loop outlives it. Requests of one connection are
  // answered one after the other.
  //
  //   address  numeric; "::" takes IPv4 as well
  //   port     0: a free one
  //   errors   kConfig: not a numeric address; kIo: taken, or not allowed
  static Result<std::unique_ptr<HttpServer>> listen(
      Loop& loop,
      const std::string& address,
      std::uint16_t port,
      const HttpServerOptions& options,
      HttpHandler handler);
  // Closes everything; the handler is not called again.
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  [[nodiscard]] std::uint16_t port() const;
  // Connections at present.
  [[nodiscard]] std::size_t connections() const;

 private:
  struct State;
  explicit HttpServer(std::shared_ptr<State> state);

  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::net
