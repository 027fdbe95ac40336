// A TLS server on 127.0.0.1 for tests, with a certificate made on the spot.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "stillpoint/net/loop.h"

namespace stillpoint::net::test {

// A self-signed certificate with its key, both as PEM.
struct TestCertificate {
  std::string certificate, key;
};

//   names      the subject's other names as OpenSSL writes them, e.g.
//              "IP:127.0.0.1,DNS:localhost"
//   begins_s   validity from now [s], an hour long
TestCertificate make_certificate(const std::string& names, long begins_s);

// Sends back what it hears.
class TlsEchoServer {
 public:
  TlsEchoServer(Loop& loop, const TestCertificate& certificate);
  ~TlsEchoServer();
  TlsEchoServer(const TlsEchoServer&) = delete;
  TlsEchoServer& operator=(const TlsEchoServer&) = delete;
  [[nodiscard]] std::uint16_t port() const;
  // The name that the last client asked for; empty if none.
  [[nodiscard]] const std::string& asked_for() const;

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::net::test
