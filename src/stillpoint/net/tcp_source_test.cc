#include <gtest/gtest.h>

#include <optional>
#include <string>

#include "stillpoint/net/net_test_support.h"

namespace stillpoint::net {
namespace {

using test::bytes_of;
using test::Recorder;
using test::run_ready;
using test::run_until;
using test::Server;

SourceOptions fast() {
  SourceOptions options;
  options.first_wait_s = 0.001;
  options.longest_wait_s = 0.01;
  return options;
}

std::unique_ptr<ByteSource> source_at(Loop& loop,
                                      std::uint16_t port,
                                      const SourceOptions& options) {
  auto address = parse_source("tcp://127.0.0.1:" + std::to_string(port));
  EXPECT_TRUE(address);
  auto source = open_source(loop, *address, options);
  EXPECT_TRUE(source);
  return std::move(*source);
}

TEST(TcpSource, DeliversReconnectsAndDeliversAgain) {
  Loop loop;
  Server server(loop);
  Recorder sink;
  const auto source = source_at(loop, server.port(), fast());
  source->start(sink);
  EXPECT_TRUE(sink.states.empty()) << "calls come from run()";
  const auto both = [&](std::size_t clients) {
    return [&, clients] {
      return sink.is(SourceState::kOpen) && server.clients() == clients;
    };
  };
  ASSERT_TRUE(run_until(loop, both(1)));
  server.send("one");
  ASSERT_TRUE(run_until(loop, [&] { return sink.bytes == "one"; }));
  server.hang_up();
  ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kWaiting); }));
  EXPECT_EQ(sink.why().what, "closed by the other side");
  EXPECT_EQ(sink.states.back().retry_in_s, 0.001);
  ASSERT_TRUE(run_until(loop, both(2)));
  server.send("two");
  ASSERT_TRUE(run_until(loop, [&] { return sink.bytes == "onetwo"; }));
  EXPECT_EQ(sink.times(SourceState::kOpening), 2U);
}

TEST(TcpSource, RefusedWaitsLongerEachTimeUntilSomethingListens) {
  Loop loop;
  std::optional<Server> server(std::in_place, loop);
  const auto port = server->port();
  server.reset();
  Recorder sink;
  auto options = fast();
  options.random = [] { return 0.5; };
  const auto source = source_at(loop, port, options);
  source->start(sink);
  ASSERT_TRUE(
      run_until(loop, [&] { return sink.times(SourceState::kWaiting) == 2; }));
  EXPECT_EQ(sink.why().what, "connection refused: nothing listens there");
  EXPECT_EQ(sink.why().where, "127.0.0.1:" + std::to_string(port));
  EXPECT_EQ(sink.states[1].retry_in_s, 0.00075);
  EXPECT_EQ(sink.states.back().retry_in_s, 0.0015);
  server.emplace(loop, port);
  EXPECT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
}

TEST(TcpSource, WhoDropsConnectionsIsAskedLessAndLessUntilBytesCome) {
  Loop loop;
  Server server(loop);
  Recorder sink;
  auto options = fast();
  options.longest_wait_s = 1;
  const auto source = source_at(loop, server.port(), options);
  source->start(sink);
  const auto lose = [&](std::size_t number, double wait_s) {
    ASSERT_TRUE(run_until(loop, [&] {
      return sink.is(SourceState::kOpen) && server.clients() == number;
    }));
    if (number == 3) {
      server.send("x");
      ASSERT_TRUE(run_until(loop, [&] { return sink.bytes == "x"; }));
    }
    server.hang_up();
    ASSERT_TRUE(
        run_until(loop, [&] { return sink.is(SourceState::kWaiting); }));
    EXPECT_EQ(sink.states.back().retry_in_s, wait_s) << number;
  };
  lose(1, 0.001);
  lose(2, 0.002);
  lose(3, 0.001);
}

TEST(TcpSource, WithoutReconnectTheFirstLossIsTheEnd) {
  Loop loop;
  Server server(loop);
  Recorder sink;
  auto options = fast();
  options.reconnect = false;
  const auto source = source_at(loop, server.port(), options);
  source->start(sink);
  ASSERT_TRUE(run_until(loop, [&] { return server.clients() == 1; }));
  server.hang_up();
  ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kEnded); }));
  EXPECT_EQ(sink.why().what, "closed by the other side");
  EXPECT_EQ(sink.times(SourceState::kWaiting), 0U);
}

TEST(TcpSource, SilenceIsALoss) {
  Loop loop;
  Server server(loop);
  Recorder sink;
  auto options = fast();
  options.silence_s = 0.01;
  const auto source = source_at(loop, server.port(), options);
  source->start(sink);
  ASSERT_TRUE(run_until(loop, [&] { return server.clients() == 2; }));
  EXPECT_EQ(sink.why().what, "nothing came for too long");
}

TEST(TcpSource, SendsOnlyWhileOpen) {
  Loop loop;
  Server server(loop);
  Recorder sink;
  const auto source = source_at(loop, server.port(), fast());
  source->start(sink);
  EXPECT_EQ(source->send(bytes_of("early")).error().code, ErrorCode::kIo);
  ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
  EXPECT_TRUE(source->send(bytes_of("hello")));
  EXPECT_TRUE(run_until(loop, [&] { return server.heard() == "hello"; }));
  source->stop();
  EXPECT_FALSE(source->send(bytes_of("late")));
}

TEST(TcpSource, MayBeDestroyedFromItsOwnCalls) {
  Loop loop;
  Server server(loop);
  Recorder sink;
  auto source = source_at(loop, server.port(), fast());
  sink.then = [&] { source.reset(); };
  source->start(sink);
  ASSERT_TRUE(run_until(loop, [&] {
    return sink.is(SourceState::kOpen) && server.clients() == 1;
  }));
  server.send("x");
  ASSERT_TRUE(run_until(loop, [&] { return source == nullptr; }));
  const auto states = sink.states.size();
  server.hang_up();
  run_ready(loop);
  EXPECT_EQ(sink.states.size(), states);
}

TEST(OpenSource, CastersLiveElsewhere) {
  Loop loop;
  auto address = parse_source("ntrip://host/M");
  ASSERT_TRUE(address);
  auto source = open_source(loop, *address, {});
  ASSERT_FALSE(source);
  EXPECT_EQ(source.error().code, ErrorCode::kUsage);
}

}  // namespace
}  // namespace stillpoint::net
