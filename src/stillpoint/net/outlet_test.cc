#include <gtest/gtest.h>

#include <algorithm>
#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>
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

TEST(TcpOutlet, WhatReadersSendIsHandedOn) {
  Loop loop;
  std::string heard;
  std::size_t longest = 0;
  auto outlet = open_tcp_outlet(loop, 0, [&](ByteSpan bytes) {
    heard.append(bytes.begin(), bytes.end());
    longest = std::max(longest, bytes.size());
  });
  ASSERT_TRUE(outlet);
  Recorder first, second;
  auto one = reader_of(loop, **outlet, first);
  const auto two = reader_of(loop, **outlet, second);
  ASSERT_TRUE(run_until(loop, [&] {
    return first.is(SourceState::kOpen) && second.is(SourceState::kOpen) &&
           (*outlet)->clients() == 2;
  }));
  ASSERT_TRUE(one->send(bytes_of("ask")));
  ASSERT_TRUE(run_until(loop, [&] { return heard == "ask"; }));
  std::string much;
  for (int i = 0; i < 50'000; ++i) {
    much += static_cast<char>(i % 251);
  }
  ASSERT_TRUE(two->send(bytes_of(much)));
  ASSERT_TRUE(run_until(loop, [&] { return heard.size() >= 50'003; }));
  EXPECT_EQ(heard, "ask" + much);
  EXPECT_LE(longest, ByteOutlet::kMostFromReader);
  one.reset();
  ASSERT_TRUE(run_until(loop, [&] { return (*outlet)->clients() == 1; }));
  ASSERT_TRUE(two->send(bytes_of("!")));
  EXPECT_TRUE(run_until(loop, [&] { return heard.back() == '!'; }));
}

TEST(TcpOutlet, AnAnswerMayBeSentFromTheCall) {
  Loop loop;
  ByteOutlet* out = nullptr;
  auto outlet = open_tcp_outlet(
      loop, 0, [&](ByteSpan bytes) { EXPECT_TRUE(out->send(bytes)); });
  ASSERT_TRUE(outlet);
  out = outlet->get();
  Recorder sink;
  const auto reader = reader_of(loop, *out, sink);
  ASSERT_TRUE(run_until(loop, [&] { return out->clients() == 1; }));
  ASSERT_TRUE(reader->send(bytes_of("echo")));
  EXPECT_TRUE(run_until(loop, [&] { return sink.bytes == "echo"; }));
}

TEST(TcpOutlet, NobodyIsCalledOnceItIsGone) {
  Loop loop;
  std::size_t calls = 0;
  auto outlet = open_tcp_outlet(loop, 0, [&](ByteSpan) { ++calls; });
  ASSERT_TRUE(outlet);
  auto address = parse_source((*outlet)->where());
  ASSERT_TRUE(address);
  boost::asio::ip::tcp::socket reader(loop.impl().context);
  reader.connect({boost::asio::ip::address_v4::loopback(), address->port});
  ASSERT_TRUE(run_until(loop, [&] { return (*outlet)->clients() == 1; }));
  boost::asio::write(reader, boost::asio::buffer("x", 1));
  ASSERT_TRUE(run_until(loop, [&] { return calls == 1; }));
  boost::asio::write(reader, boost::asio::buffer("y", 1));
  outlet->reset();
  run_ready(loop);
  EXPECT_EQ(calls, 1U);
}

TEST(PtyOutlet, WhatItsReaderSendsIsHandedOn) {
  Loop loop;
  std::string heard;
  auto outlet = open_pty_outlet(loop, [&](ByteSpan bytes) {
    EXPECT_LE(bytes.size(), ByteOutlet::kMostFromReader);
    heard.append(bytes.begin(), bytes.end());
  });
  ASSERT_TRUE(outlet);
  // One after the other, and nothing is ever sent to them.
  for (const char* text : {"first", "second"}) {
    Recorder sink;
    auto reader = reader_of(loop, **outlet, sink);
    ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
    ASSERT_TRUE(reader->send(bytes_of(text)));
    ASSERT_TRUE(run_until(loop, [&] { return heard == text; })) << heard;
    heard.clear();
    reader.reset();
    run_ready(loop);
  }
  std::string much;
  for (int i = 0; i < 50'000; ++i) {
    much += static_cast<char>(i % 251);
  }
  Recorder sink;
  const auto reader = reader_of(loop, **outlet, sink);
  ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
  ASSERT_TRUE(reader->send(bytes_of(much)));
  ASSERT_TRUE(run_until(loop, [&] { return heard.size() >= much.size(); }));
  EXPECT_EQ(heard, much);
  ASSERT_TRUE((*outlet)->send(bytes_of("answer")));
  EXPECT_TRUE(run_until(loop, [&] { return sink.bytes == "answer"; }));
}

TEST(PtyOutlet, AnAnswerMayBeSentFromTheCall) {
  Loop loop;
  ByteOutlet* out = nullptr;
  auto outlet = open_pty_outlet(
      loop, [&](ByteSpan bytes) { EXPECT_TRUE(out->send(bytes)); });
  ASSERT_TRUE(outlet);
  out = outlet->get();
  Recorder sink;
  const auto reader = reader_of(loop, *out, sink);
  ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
  ASSERT_TRUE(reader->send(bytes_of("echo")));
  EXPECT_TRUE(run_until(loop, [&] { return sink.bytes == "echo"; }));
}

TEST(PtyOutlet, LeavesTheLoopWhenItGoes) {
  Loop loop;
  for (const bool has_reader : {false, true}) {
    auto outlet = open_pty_outlet(loop, [](ByteSpan) {});
    ASSERT_TRUE(outlet);
    Recorder sink;
    auto reader = has_reader ? reader_of(loop, **outlet, sink) : nullptr;
    if (has_reader) {
      ASSERT_TRUE(run_until(loop, [&] { return sink.is(SourceState::kOpen); }));
    }
    reader.reset();
    outlet->reset();
    loop.run();  // comes back: nothing is left to do
  }
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
