#include "stillpoint/net/http_tls.h"

#include <gtest/gtest.h>
#include <openssl/ssl.h>

#include <boost/asio/ssl/context.hpp>
#include <boost/asio/ssl/stream.hpp>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/net/http_client_test_support.h"
#include "stillpoint/net/tls_test_server.h"

namespace stillpoint::net {
namespace {

namespace ssl = boost::asio::ssl;
using boost::asio::ip::tcp;
using boost::system::error_code;
using std::chrono::milliseconds;
using test::make_certificate;
using test::run_until;
using test::TestCertificate;

HttpCertificate own(const TestCertificate& made) {
  return {made.certificate, made.key};
}

// A client that trusts one certificate only.
struct TlsClientHere {
  TlsClientHere(Loop& loop, std::uint16_t port, const std::string& ca_file) {
    Endpoint endpoint;
    endpoint.host = "127.0.0.1";
    endpoint.port = port;
    endpoint.tls = true;
    endpoint.ca_file = ca_file;
    connection = std::make_unique<Connection>(loop, endpoint, handler);
  }
  test::RecordingHandler handler;
  std::unique_ptr<Connection> connection;
};

class HttpOverTls : public testing::Test {
 protected:
  HttpOverTls() {
    options_.tls = own(first_);
    options_.methods = {"GET", "POST"};
    options_.most_body = std::size_t{1} << 20U;
  }
  void serve() {
    server_ = test::serve(loop_, options_, [this](const HttpRequest& request) {
      requests_.push_back(request);
      HttpResponse page;
      if (request.path() == "/s") {
        page.stream = stream_ = std::make_shared<HttpStream>();
      } else {
        page.body = request.path();
        page.body.append(2 * request.body.size(), 'y');
      }
      return page;
    });
  }
  TestCertificate first_ = make_certificate("IP:127.0.0.1", -60);
  test::TempDir dir_;
  Loop loop_;
  HttpServerOptions options_;
  std::vector<HttpRequest> requests_;
  std::shared_ptr<HttpStream> stream_;
  std::unique_ptr<HttpServer> server_;
};

TEST_F(HttpOverTls, CarriesRequestsBodiesAndAnswers) {
  serve();
  TlsClientHere client(
      loop_, server_->port(), dir_.file("ca", first_.certificate));
  const std::string body(300'000, 'x');
  client.connection->send("POST /p HTTP/1.1\r\nHost: a\r\nContent-Length: " +
                          std::to_string(body.size()) + "\r\n\r\n" + body +
                          std::string(test::kGet));
  ASSERT_TRUE(run_until(loop_, [&] {
    return client.handler.bytes.ends_with("\r\n\r\n/a") ||
           !client.handler.closed.empty();
  }));
  ASSERT_TRUE(client.handler.closed.empty()) << client.handler.closed[0].text();
  EXPECT_EQ(requests_[0].body, body);
  EXPECT_TRUE(requests_[0].tls);
  EXPECT_EQ(requests_[0].address, "127.0.0.1");
  EXPECT_NE(client.handler.bytes.find("/p" + std::string(600'000, 'y')),
            std::string::npos);
}

TEST_F(HttpOverTls, CarriesStreamsAndEndsThemWell) {
  serve();
  TlsClientHere client(
      loop_, server_->port(), dir_.file("ca", first_.certificate));
  client.connection->send("GET /s HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(run_until(loop_, [&] { return stream_ != nullptr; }));
  for (int i = 0; i < 3; ++i) {
    const std::string event = "event " + std::to_string(i);
    EXPECT_TRUE(stream_->send(event));
    ASSERT_TRUE(run_until(loop_, [&] {
      return client.handler.bytes.find("7\r\n" + event + "\r\n") !=
             std::string::npos;
    }));
  }
  stream_->close();
  ASSERT_TRUE(run_until(loop_, [&] { return !client.handler.closed.empty(); }));
  EXPECT_TRUE(client.handler.bytes.ends_with("0\r\n\r\n"));
  ASSERT_TRUE(run_until(loop_, [&] { return server_->connections() == 0; }));
}

TEST_F(HttpOverTls, AStreamsClientThatGoesIsNoticed) {
  serve();
  auto client = std::make_unique<TlsClientHere>(
      loop_, server_->port(), dir_.file("ca", first_.certificate));
  client->connection->send("GET /s HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(run_until(loop_, [&] { return stream_ != nullptr; }));
  bool closed = false;
  stream_->on_closed([&] { closed = true; });
  client.reset();
  EXPECT_TRUE(run_until(loop_, [&] { return closed; }));
}

TEST_F(HttpOverTls, ANewCertificateIsForNewConnections) {
  serve();
  const auto second = make_certificate("IP:127.0.0.1", -60);
  const std::string old_ca = dir_.file("old", first_.certificate);
  TlsClientHere stays(loop_, server_->port(), old_ca);
  ASSERT_TRUE(run_until(loop_, [&] { return stays.handler.connected; }));
  ASSERT_TRUE(server_->set_certificate(own(second)).has_value());
  const auto damaged = server_->set_certificate({second.certificate, "x"});
  ASSERT_FALSE(damaged);
  EXPECT_EQ(damaged.error().code, ErrorCode::kConfig);
  TlsClientHere renewed(
      loop_, server_->port(), dir_.file("new", second.certificate));
  ASSERT_TRUE(run_until(loop_, [&] {
    return renewed.handler.connected || !renewed.handler.closed.empty();
  }));
  EXPECT_TRUE(renewed.handler.connected);
  TlsClientHere left(loop_, server_->port(), old_ca);
  ASSERT_TRUE(run_until(loop_, [&] { return !left.handler.closed.empty(); }));
  EXPECT_FALSE(left.handler.connected);
  stays.connection->send(std::string(test::kGet));
  EXPECT_TRUE(run_until(
      loop_, [&] { return stays.handler.bytes.ends_with("\r\n\r\n/a"); }));
}

TEST_F(HttpOverTls, WhoDoesNotSpeakItIsHungUpOn) {
  options_.idle_deadline = options_.head_deadline = std::chrono::hours{1};
  serve();
  const test::Client plain(loop_, *server_);
  plain.say(test::kGet);
  ASSERT_TRUE(run_until(loop_, [&] { return plain.ended(); }));
  EXPECT_EQ(plain.answers(), 0U);
  EXPECT_TRUE(requests_.empty());
}

TEST_F(HttpOverTls, ASlowGreetingIsCut) {
  options_.head_deadline = milliseconds{20};
  serve();
  const test::Client silent(loop_, *server_);
  const test::Client half(loop_, *server_);
  half.say("\x16\x03\x01");
  EXPECT_TRUE(run_until(loop_, [&] { return silent.ended() && half.ended(); }));
  EXPECT_EQ(server_->connections(), 0U);
}

TEST_F(HttpOverTls, GreetingsCrowdNobodyOut) {
  options_.most_connections = 4;
  serve();
  TlsClientHere client(
      loop_, server_->port(), dir_.file("ca", first_.certificate));
  client.connection->send("GET /s HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(run_until(loop_, [&] { return stream_ != nullptr; }));
  std::vector<std::unique_ptr<test::Client>> storm;
  for (int i = 0; i < 50; ++i) {
    storm.push_back(std::make_unique<test::Client>(loop_, *server_));
    test::run_ready(loop_);
  }
  EXPECT_TRUE(stream_->open());
  EXPECT_LE(server_->connections(), 4U);
  TlsClientHere another(
      loop_, server_->port(), dir_.file("ca", first_.certificate));
  another.connection->send(std::string(test::kGet));
  EXPECT_TRUE(run_until(
      loop_, [&] { return another.handler.bytes.ends_with("\r\n\r\n/a"); }));
}

// kind: published   source: RFC 8996: TLS 1.0 and 1.1 must not be used
// tolerance: 0
TEST_F(HttpOverTls, VersionsBefore12AreRefused) {
  serve();
  const struct {
    int version;
    bool taken;
  } cases[] = {
      {TLS1_1_VERSION, false}, {TLS1_2_VERSION, true}, {TLS1_3_VERSION, true}};
  for (const auto& c : cases) {
    ssl::context context(ssl::context::tls_client);
    SSL_CTX* native = context.native_handle();
    SSL_CTX_set_security_level(native, 0);
    ASSERT_EQ(SSL_CTX_set_min_proto_version(native, c.version), 1);
    ASSERT_EQ(SSL_CTX_set_max_proto_version(native, c.version), 1);
    tcp::socket socket(loop_.impl().context);
    socket.connect({boost::asio::ip::address_v4::loopback(), server_->port()});
    ssl::stream<tcp::socket&> stream(socket, context);
    bool done = false;
    error_code code;
    stream.async_handshake(ssl::stream_base::client,
                           [&](const error_code& failed) {
                             code = failed;
                             done = true;
                           });
    ASSERT_TRUE(run_until(loop_, [&] { return done; }));
    EXPECT_EQ(!code, c.taken) << c.version << " " << code.message();
  }
}

TEST(HttpTls, SaysWhatIsWrongWithACertificate) {
  const auto one = make_certificate("IP:127.0.0.1", -60);
  const auto other = make_certificate("IP:127.0.0.1", -60);
  for (const HttpCertificate& bad :
       {HttpCertificate{"", one.key},
        HttpCertificate{"no PEM", one.key},
        HttpCertificate{one.certificate, ""},
        HttpCertificate{one.certificate, other.key}}) {
    Loop loop;
    HttpServerOptions options;
    options.tls = bad;
    const auto server =
        HttpServer::listen(loop, "127.0.0.1", 0, options, test::echo);
    ASSERT_FALSE(server);
    EXPECT_EQ(server.error().code, ErrorCode::kConfig);
  }
}

}  // namespace
}  // namespace stillpoint::net
