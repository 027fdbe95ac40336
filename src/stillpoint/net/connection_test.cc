#include "stillpoint/net/connection.h"

#include <gtest/gtest.h>

#include <boost/asio/error.hpp>
#include <boost/asio/ssl/error.hpp>
#include <optional>

#include "stillpoint/net/net_errors.h"
#include "stillpoint/net/net_test_support.h"

namespace stillpoint::net {
namespace {

using test::RecordingHandler;
using test::run_ready;
using test::run_until;
using test::Server;

Endpoint local(std::uint16_t port) {
  Endpoint endpoint;
  endpoint.host = "127.0.0.1";
  endpoint.port = port;
  return endpoint;
}

TEST(Connection, BytesGoBothWaysInOrder) {
  Loop loop;
  Server server(loop);
  RecordingHandler handler;
  Connection connection(loop, local(server.port()), handler);
  connection.send("before ");
  EXPECT_FALSE(handler.connected);
  ASSERT_TRUE(run_until(loop, [&] { return handler.connected; }));
  connection.send("and ");
  connection.send("after");
  ASSERT_TRUE(
      run_until(loop, [&] { return server.heard() == "before and after"; }));
  server.send("answer");
  ASSERT_TRUE(run_until(loop, [&] { return handler.bytes == "answer"; }));
  EXPECT_TRUE(handler.closed.empty());
}

TEST(Connection, SaysWhenTheOtherSideCloses) {
  Loop loop;
  Server server(loop);
  RecordingHandler handler;
  Connection connection(loop, local(server.port()), handler);
  ASSERT_TRUE(run_until(
      loop, [&] { return handler.connected && server.clients() == 1; }));
  server.hang_up();
  ASSERT_TRUE(run_until(loop, [&] { return !handler.closed.empty(); }));
  EXPECT_EQ(handler.closed[0].code, ErrorCode::kIo);
  EXPECT_EQ(handler.closed[0].what, "closed by the other side");
  run_ready(loop);
  EXPECT_EQ(handler.closed.size(), 1U);
}

TEST(Connection, RefusedSaysWhere) {
  Loop loop;
  std::optional<Server> server(loop);
  const auto port = server->port();
  server.reset();
  RecordingHandler handler;
  Connection connection(loop, local(port), handler);
  ASSERT_TRUE(run_until(loop, [&] { return !handler.closed.empty(); }));
  EXPECT_EQ(handler.closed[0].text(),
            "127.0.0.1:" + std::to_string(port) +
                ": connection refused: nothing listens there");
  EXPECT_FALSE(handler.connected);
}

TEST(Connection, NamesAreResolved) {
  Loop loop;
  Server server(loop);
  RecordingHandler handler;
  auto endpoint = local(server.port());
  endpoint.host = "localhost";
  Connection connection(loop, endpoint, handler);
  EXPECT_TRUE(run_until(loop, [&] { return handler.connected; }));
}

TEST(Connection, SilenceEndsIt) {
  Loop loop;
  Server server(loop);
  RecordingHandler handler;
  auto endpoint = local(server.port());
  endpoint.silence_s = 0.01;
  Connection connection(loop, endpoint, handler);
  ASSERT_TRUE(run_until(loop, [&] { return !handler.closed.empty(); }));
  EXPECT_EQ(handler.closed[0].what, "nothing came for too long");
}

TEST(Connection, WhoDoesNotAnswerInTimeIsGivenUp) {
  Loop loop;
  Server server(loop);  // takes the connection, but never speaks TLS
  RecordingHandler handler;
  auto endpoint = local(server.port());
  endpoint.tls = true;
  endpoint.connect_s = 0.05;
  Connection connection(loop, endpoint, handler);
  ASSERT_TRUE(run_until(loop, [&] { return !handler.closed.empty(); }));
  EXPECT_EQ(handler.closed[0].what, "no answer in time");
}

TEST(Connection, AQueueOverItsBoundClosesItFromTheLoop) {
  Loop loop;
  Server server(loop);
  RecordingHandler handler;
  Connection connection(loop, local(server.port()), handler);
  connection.send(std::string(Connection::kMostQueued, 'x'));
  connection.send("y");
  EXPECT_TRUE(handler.closed.empty());
  ASSERT_TRUE(run_until(loop, [&] { return !handler.closed.empty(); }));
  EXPECT_EQ(handler.closed[0].code, ErrorCode::kTooLarge);
  EXPECT_EQ(handler.closed.size(), 1U);
}

TEST(Connection, AfterCloseNothingIsCalled) {
  Loop loop;
  Server server(loop);
  RecordingHandler early, late;
  Connection never(loop, local(server.port()), early);
  never.close();
  std::optional<Connection> connection(
      std::in_place, loop, local(server.port()), late);
  ASSERT_TRUE(
      run_until(loop, [&] { return late.connected && server.clients() == 1; }));
  server.send("unheard");
  connection.reset();
  run_ready(loop);
  EXPECT_FALSE(early.connected);
  EXPECT_TRUE(early.closed.empty());
  EXPECT_EQ(late.bytes, "");
  EXPECT_TRUE(late.closed.empty());
}

TEST(ConnectionError, SaysItInWords) {
  namespace error = boost::asio::error;
  const auto what = [](const boost::system::error_code& code) {
    return connection_error(code, "h:1").what;
  };
  EXPECT_EQ(what(error::host_not_found), "no such name is known");
  EXPECT_EQ(what(error::host_not_found_try_again),
            "the name server does not answer");
  EXPECT_EQ(what(error::timed_out), "no answer");
  EXPECT_EQ(what(error::network_unreachable), "no way leads there");
  EXPECT_EQ(what(error::connection_reset), "closed by the other side");
  EXPECT_EQ(what(boost::asio::ssl::error::stream_truncated),
            "closed by the other side");
  EXPECT_EQ(what(error::no_descriptors).rfind("the connection failed: ", 0),
            0U);
  EXPECT_EQ(place_name("::1", 2101), "[::1]:2101");
}

}  // namespace
}  // namespace stillpoint::net
