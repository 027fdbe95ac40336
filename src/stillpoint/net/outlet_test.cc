#include <gtest/gtest.h>

#include <memory>
#include <optional>
#include <string>

#include "stillpoint/net/listener.h"
#include "stillpoint/net/loop_asio.h"
#include "stillpoint/net/net_test_support.h"

namespace stillpoint::net {
namespace {

using test::bytes_of;
using test::Recorder;
using test::run_ready;
using test::run_until;

std::unique_ptr<ByteSource> reader_of(Loop& loop,
                                      const ByteOutlet& outlet,
                                      Recorder& sink) {
  auto address = parse_source(outlet.where());
  EXPECT_TRUE(address) << outlet.where();
  auto source = open_source(loop, *address, {});
  EXPECT_TRUE(source);
  source.value()->start(sink);
  return std::move(*source);
}

TEST(TcpOutlet, EveryClientGetsTheBytesFromWhereItCame) {
  Loop loop;
  auto outlet = open_tcp_outlet(loop, 0);
  ASSERT_TRUE(outlet);
  auto& out = **outlet;
  EXPECT_TRUE(out.send(bytes_of("to nobody")));
  Recorder first, second;
  const auto one = reader_of(loop, out, first);
  ASSERT_TRUE(run_until(loop, [&] { return out.clients() == 1; }));
  EXPECT_TRUE(out.send(bytes_of("a")));
  auto two = reader_of(loop, out, second);
  ASSERT_TRUE(run_until(loop, [&] { return out.clients() == 2; }));
  EXPECT_TRUE(out.send(bytes_of("b")));
  ASSERT_TRUE(run_until(
      loop, [&] { return first.bytes == "ab" && second.bytes == "b"; }));
  EXPECT_EQ(out.waiting(), 0U);
  two.reset();
  EXPECT_TRUE(run_until(loop, [&] { return out.clients() == 1; }));
}

TEST(TcpOutlet, ASlowClientCostsOnlyItself) {
  Loop loop;
  auto outlet = open_tcp_outlet(loop, 0);
  ASSERT_TRUE(outlet);
  auto& out = **outlet;
  auto address = parse_source(out.where());
  ASSERT_TRUE(address);
  // Connected, and never read.
  boost::asio::ip::tcp::socket slow(loop.impl().context);
  slow.connect({boost::asio::ip::address_v4::loopback(), address->port});
  Recorder sink;
  const auto quick = reader_of(loop, out, sink);
  ASSERT_TRUE(run_until(loop, [&] { return out.clients() == 2; }));
  const std::string chunk(65536, 'x');
  std::size_t sent = 0;
  while (out.clients() == 2 && sent < 1000 * chunk.size()) {
    ASSERT_TRUE(out.send(bytes_of(chunk)));
    EXPECT_LE(out.waiting(), ByteOutlet::kMostWaiting);
    sent += chunk.size();
    ASSERT_TRUE(run_until(loop, [&] { return sink.bytes.size() == sent; }));
  }
  EXPECT_EQ(out.clients(), 1U);
  EXPECT_GT(sent, ByteOutlet::kMostWaiting);
  ASSERT_TRUE(out.send(bytes_of("still")));
  EXPECT_TRUE(run_until(loop, [&] { return sink.bytes.size() == sent + 5; }));
}

TEST(TcpOutlet, ATakenPortIsSaidInWords) {
  Loop loop;
  auto outlet = open_tcp_outlet(loop, 0);
  ASSERT_TRUE(outlet);
  auto address = parse_source((*outlet)->where());
  ASSERT_TRUE(address);
  auto again = open_tcp_outlet(loop, address->port);
  ASSERT_FALSE(again);
  EXPECT_EQ(again.error().what, "the port is taken by another program");
  outlet->reset();
  run_ready(loop);
  EXPECT_TRUE(open_tcp_outlet(loop, address->port));
}

TEST(PtyOutlet, IsReadBackUnchangedByASerialSource) {
  Loop loop;
  auto outlet = open_pty_outlet(loop);
  ASSERT_TRUE(outlet) << outlet.error().text();
  auto& out = **outlet;
  EXPECT_EQ(out.where().rfind("serial:/dev/pts/", 0), 0U);
  EXPECT_EQ(out.clients(), 0U);
  Recorder sink;
  const auto reader = reader_of(loop, out, sink);
  ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
  EXPECT_EQ(out.clients(), 1U);
  // More than the terminal holds: the rest follows as it is read.
  std::string bytes;
  for (int i = 0; i < 100'000; ++i) {
    bytes += static_cast<char>(i % 256);
  }
  ASSERT_TRUE(out.send(bytes_of(bytes)));
  EXPECT_GT(out.waiting(), 0U);
  ASSERT_TRUE(reader->send(bytes_of("said by the reader, dropped")));
  ASSERT_TRUE(
      run_until(loop, [&] { return sink.bytes.size() >= bytes.size(); }));
  EXPECT_EQ(sink.bytes, bytes);
  EXPECT_EQ(out.waiting(), 0U);
}

TEST(PtyOutlet, SurvivesHavingNoReader) {
  Loop loop;
  auto outlet = open_pty_outlet(loop);
  ASSERT_TRUE(outlet);
  auto& out = **outlet;
  const std::string chunk(65536, 'x');
  for (int i = 0; i < 40; ++i) {
    ASSERT_TRUE(out.send(bytes_of(chunk)));
  }
  EXPECT_EQ(out.waiting(), 0U) << "lost, as on a serial line";
  for (const char* text : {"first", "second"}) {
    Recorder sink;
    auto reader = reader_of(loop, out, sink);
    ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
    ASSERT_TRUE(out.send(bytes_of(text)));
    ASSERT_TRUE(run_until(loop, [&] { return sink.bytes == text; }))
        << sink.bytes.size();
    reader.reset();
    run_ready(loop);
    EXPECT_EQ(out.clients(), 0U);
    ASSERT_TRUE(out.send(bytes_of("to nobody")));
  }
}

TEST(PtyOutlet, AReaderThatDoesNotReadLosesBytesAndNotMemory) {
  Loop loop;
  auto outlet = open_pty_outlet(loop);
  ASSERT_TRUE(outlet);
  auto& out = **outlet;
  Recorder sink;
  const auto reader = reader_of(loop, out, sink);
  ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
  const std::string chunk(65536, 'x');
  for (int i = 0; i < 40; ++i) {  // the loop does not run meanwhile
    ASSERT_TRUE(out.send(bytes_of(chunk)));
    EXPECT_LE(out.waiting(), ByteOutlet::kMostWaiting);
  }
  ASSERT_TRUE(run_until(loop, [&] { return out.waiting() == 0; }));
  ASSERT_TRUE(out.send(bytes_of("end")));
  EXPECT_TRUE(run_until(loop, [&] {
    return sink.bytes.size() >= 3 &&
           sink.bytes.substr(sink.bytes.size() - 3) == "end";
  }));
  EXPECT_LT(sink.bytes.size(), 40 * chunk.size());
}

}  // namespace
}  // namespace stillpoint::net
