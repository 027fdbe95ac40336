// A small HTTP server, plain or over TLS: pages made on the spot, requests with
// bodies where they are allowed, answers from files and answers without an end.
// A slow or hostile client costs only its own connection, and a newcomer always
// finds room.
//
//   source   RFC 9112, RFC 9110
//   differs  no Date: nothing here reads the time of day
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/net/http_message.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::net {

struct HttpCertificate {
  std::string chain;  // PEM, its own certificate first
  std::string key;    // PEM, without a passphrase
};

struct HttpServerOptions {
  // Present: all is encrypted (TLS 1.2 or 1.3), and who does not speak TLS is
  // hung up on.
  std::optional<HttpCertificate> tls;
  // Any of GET, HEAD, POST, PUT, PATCH and DELETE; others are answered 405 with
  // this list, and what is none of the six 501.
  std::vector<std::string> methods = {"GET", "HEAD"};
  // The number of bytes that the body of a request may have, asked when its
  // head is there; without it, `most_body` for all. More is answered 413; so is
  // any body of a GET or HEAD. 0 takes none.
  std::function<std::size_t(const HttpRequest& head)> body_limit;
  std::size_t most_body = 0;
  // Looks at each answer that the server makes itself, such as 400 or 413, and
  // may change all of it but the status.
  std::function<void(HttpResponse& answer)> on_refusal;
  // Of all bodies together that are coming; a request that needs more is
  // answered 503.
  std::size_t most_held = std::size_t{16} * 1024 * 1024;
  // At a time, at least 1. For one more the oldest that waits for a request
  // goes; else the one that has been greeting (TLS) the longest, sending its
  // head, sending its body, taking its answer; streams last.
  std::size_t most_connections = 64;
  // One more is answered 503. Fewer than connections, or they crowd each other
  // out.
  std::size_t most_streams = 32;
  // From the first byte of a head to its last, however fast they come; for the
  // greeting of TLS too.
  std::chrono::nanoseconds head_deadline = std::chrono::seconds{5};
  // For a whole body, and between two bytes of it.
  std::chrono::nanoseconds body_deadline = std::chrono::seconds{10};
  std::chrono::nanoseconds body_idle_deadline = std::chrono::seconds{5};
  // For the whole answer; from a file, for each 64 KiB; of a stream, for all
  // that waited.
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
  //   errors   kConfig: not a numeric address, or a certificate that cannot be
  //            used; kIo: taken, or not allowed
  static Result<std::unique_ptr<HttpServer>> listen(
      Loop& loop,
      const std::string& address,
      std::uint16_t port,
      const HttpServerOptions& options,
      HttpHandler handler);
  // Closes everything; neither the handler nor what streams were given is
  // called again.
  ~HttpServer();  // NOLINT(bugprone-exception-escape): see there
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  [[nodiscard]] std::uint16_t port() const;
  // For connections from now on; those there are keep the one they have. Only
  // where the options had one.
  //
  //   errors   kConfig; the one before stays
  Status set_certificate(const HttpCertificate& own);

  // Connections at present, and the streams among them.
  [[nodiscard]] std::size_t connections() const;
  [[nodiscard]] std::size_t streams() const;

 private:
  struct State;
  explicit HttpServer(std::shared_ptr<State> state);

  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::net
