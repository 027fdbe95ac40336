#include <gtest/gtest.h>

#include <string>

#include "stillpoint/net/connection.h"
#include "stillpoint/net/net_test_support.h"
#include "stillpoint/net/tls_test_server.h"

namespace stillpoint::net {
namespace {

using test::make_certificate;
using test::run_until;
using test::TestCertificate;

constexpr const char* kNames = "IP:127.0.0.1,DNS:localhost";

// One try against a server with this certificate.
struct Try {
  Try(const TestCertificate& certificate,
      const std::string& host,
      const std::string& ca_file)
      : server(loop, certificate) {
    Endpoint endpoint;
    endpoint.host = host;
    endpoint.port = server.port();
    endpoint.tls = true;
    endpoint.ca_file = ca_file;
    connection.emplace(loop, endpoint, handler);
  }

  Error failure() {
    EXPECT_TRUE(run_until(
        loop, [&] { return handler.connected || !handler.closed.empty(); }));
    EXPECT_FALSE(handler.connected);
    return handler.closed.empty() ? Error{} : handler.closed[0];
  }

  Loop loop;
  test::TlsEchoServer server;
  test::RecordingHandler handler;
  std::optional<Connection> connection;
};

class Tls : public testing::Test {
 protected:
  std::string trusting(const TestCertificate& certificate) {
    return dir_.file("ca.pem", certificate.certificate);
  }
  test::TempDir dir_;
};

TEST_F(Tls, TrustedCertificateOfTheRightNameCarriesBytesBothWays) {
  const auto certificate = make_certificate(kNames, -60);
  for (const char* host : {"127.0.0.1", "localhost"}) {
    Try attempt(certificate, host, trusting(certificate));
    const std::string much(200'000, 'x');
    attempt.connection->send(much);
    ASSERT_TRUE(run_until(attempt.loop, [&] {
      return attempt.handler.bytes.size() == much.size() ||
             !attempt.handler.closed.empty();
    }));
    EXPECT_EQ(attempt.handler.bytes, much);
    EXPECT_TRUE(attempt.handler.closed.empty())
        << attempt.handler.closed[0].text();
    // Names are told to the server, addresses are not (RFC 6066 section 3).
    EXPECT_EQ(attempt.server.asked_for(),
              std::string(host) == "localhost" ? "localhost" : "");
  }
}

TEST_F(Tls, AnotherNameIsRefused) {
  const auto certificate = make_certificate("DNS:other.invalid", -60);
  for (const char* host : {"127.0.0.1", "localhost"}) {
    Try attempt(certificate, host, trusting(certificate));
    const auto error = attempt.failure();
    EXPECT_EQ(error.code, ErrorCode::kConfig);
    EXPECT_EQ(error.what, "its certificate is for another name");
  }
}

TEST_F(Tls, UntrustedIsRefused) {
  const auto stranger = make_certificate(kNames, -60);
  Try alone(stranger, "127.0.0.1", "");
  auto error = alone.failure();
  EXPECT_EQ(error.code, ErrorCode::kConfig);
  EXPECT_EQ(error.what.rfind("its certificate is not trusted", 0), 0U)
      << error.what;
  // The same name, another key.
  Try other(stranger, "127.0.0.1", trusting(make_certificate(kNames, -60)));
  error = other.failure();
  EXPECT_EQ(error.code, ErrorCode::kConfig);
}

TEST_F(Tls, ExpiredAndFutureOnesAreWaitedOut) {
  const auto expired = make_certificate(kNames, -7200);
  Try late(expired, "127.0.0.1", trusting(expired));
  auto error = late.failure();
  EXPECT_EQ(error.code, ErrorCode::kIo);
  EXPECT_EQ(error.what, "its certificate has expired");
  const auto future = make_certificate(kNames, 3600);
  Try early(future, "127.0.0.1", trusting(future));
  error = early.failure();
  EXPECT_EQ(error.code, ErrorCode::kIo);
  EXPECT_EQ(error.what, "its certificate is not valid yet");
}

TEST_F(Tls, CertificatesToTrustMustBeReadable) {
  const auto certificate = make_certificate(kNames, -60);
  for (const auto& path : {dir_.path("none"), dir_.file("bad", "no PEM")}) {
    Try attempt(certificate, "127.0.0.1", path);
    const auto error = attempt.failure();
    EXPECT_EQ(error.code, ErrorCode::kConfig);
    EXPECT_EQ(error.where, path);
  }
}

TEST_F(Tls, AServerThatSpeaksNoTlsIsSaidSo) {
  Loop loop;
  test::Server server(loop);
  test::RecordingHandler handler;
  Endpoint endpoint;
  endpoint.host = "127.0.0.1";
  endpoint.port = server.port();
  endpoint.tls = true;
  Connection connection(loop, endpoint, handler);
  ASSERT_TRUE(run_until(loop, [&] { return !server.heard().empty(); }));
  server.send("ICY 200 OK\r\n\r\n");
  ASSERT_TRUE(run_until(loop, [&] { return !handler.closed.empty(); }));
  EXPECT_EQ(handler.closed[0].what.rfind("no agreement on an encrypted", 0), 0U)
      << handler.closed[0].what;
}

}  // namespace
}  // namespace stillpoint::net
