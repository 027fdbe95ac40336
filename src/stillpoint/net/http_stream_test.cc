#include "stillpoint/net/http_stream.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/net/http_client_test_support.h"

namespace stillpoint::net {
namespace {

using std::chrono::milliseconds;
using test::Client;
using test::run_ready;
using test::run_until;

constexpr std::string_view kAsk = "GET /s HTTP/1.1\r\nHost: a\r\n\r\n";

// Keeps every stream it begins; "/a" is a page.
struct Served {
  explicit Served(const HttpServerOptions& options = {}) {
    server = test::serve(loop, options, [this](const HttpRequest& request) {
      HttpResponse page;
      if (request.path() == "/s") {
        page.content_type = "text/event-stream";
        page.stream = std::make_shared<HttpStream>();
        page.stream->on_closed([this] { ++closed; });
        streams.push_back(page.stream);
        page.stream->send(first);
      }
      return page;
    });
  }
  bool await(std::size_t count) {
    return run_until(loop, [&] { return streams.size() == count; });
  }
  Loop loop;
  std::string first;  // sent before the head
  int closed = 0;
  std::vector<std::shared_ptr<HttpStream>> streams;
  std::unique_ptr<HttpServer> server;
};

std::string body_of(const Client& client) {
  const std::size_t end = client.heard().find("\r\n\r\n");
  return end == std::string::npos ? "" : client.heard().substr(end + 4);
}

TEST(HttpStream, SendsInChunksAsTheyCome) {
  Served served;
  served.first = "data: 0\n\n";
  const Client client(served.loop, *served.server);
  client.say(kAsk);
  ASSERT_TRUE(served.await(1));
  HttpStream& stream = *served.streams[0];
  ASSERT_TRUE(run_until(served.loop, [&] {
    return body_of(client) == "9\r\ndata: 0\n\n\r\n";
  })) << client.heard();
  EXPECT_NE(client.heard().find("Transfer-Encoding: chunked\r\n"),
            std::string::npos);
  EXPECT_NE(client.heard().find("Content-Type: text/event-stream\r\n"),
            std::string::npos);
  EXPECT_EQ(client.heard().find("Content-Length"), std::string::npos);
  EXPECT_TRUE(stream.send("abcdefghijklmnopqrst"));
  EXPECT_TRUE(stream.send("")) << "an empty chunk would end it";
  ASSERT_TRUE(run_until(served.loop, [&] {
    return body_of(client).ends_with("14\r\nabcdefghijklmnopqrst\r\n");
  }));
  EXPECT_TRUE(stream.open());
  EXPECT_EQ(stream.waiting(), 0U);
  EXPECT_EQ(served.server->streams(), 1U);
  stream.close();
  EXPECT_FALSE(stream.open());
  EXPECT_FALSE(stream.send("x"));
  ASSERT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
  EXPECT_TRUE(client.ended_well());
  EXPECT_TRUE(body_of(client).ends_with("\r\n0\r\n\r\n"));
  ASSERT_TRUE(run_until(served.loop, [&] { return served.closed == 1; }));
  EXPECT_EQ(served.server->streams(), 0U);
}

// kind: published   source: RFC 9112, section 6.3: without a length the body
// ends with the connection
// tolerance: 0
TEST(HttpStream, AClientOf10GetsThePlainBytes) {
  Served served;
  const Client client(served.loop, *served.server);
  client.say("GET /s HTTP/1.0\r\n\r\n");
  ASSERT_TRUE(served.await(1));
  served.streams[0]->send("one");
  served.streams[0]->close();
  ASSERT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
  EXPECT_TRUE(client.ended_well());
  EXPECT_EQ(body_of(client), "one");
  EXPECT_EQ(client.heard().find("Transfer-Encoding"), std::string::npos);
}

TEST(HttpStream, AClientThatGoesIsNoticed) {
  Served served;
  auto client = std::make_unique<Client>(served.loop, *served.server);
  client->say(kAsk);
  ASSERT_TRUE(served.await(1));
  ASSERT_TRUE(served.streams[0]->open());
  client.reset();
  ASSERT_TRUE(run_until(served.loop, [&] { return served.closed == 1; }));
  EXPECT_FALSE(served.streams[0]->open());
  EXPECT_FALSE(served.streams[0]->send("x"));
  EXPECT_EQ(served.server->connections(), 0U);
  EXPECT_EQ(served.server->streams(), 0U);
}

TEST(HttpStream, IsNotEvictedAsIdleNorEndedByItsDeadlines) {
  HttpServerOptions options;
  options.most_connections = 2;
  options.idle_deadline = options.head_deadline = options.write_deadline =
      milliseconds{200};
  Served served(options);
  const Client client(served.loop, *served.server);
  client.say(kAsk);
  ASSERT_TRUE(served.await(1));
  for (int i = 0; i < 20; ++i) {
    const Client newcomer(served.loop, *served.server);
    newcomer.say("GET");
    served.loop.run_for(milliseconds{20});
  }
  EXPECT_TRUE(served.streams[0]->open());
  EXPECT_FALSE(client.ended());
  EXPECT_TRUE(served.streams[0]->send("still here"));
  EXPECT_TRUE(run_until(served.loop, [&] {
    return client.heard().find("still here") != std::string::npos;
  }));
}

TEST(HttpStream, WhoDoesNotReadInTimeIsCut) {
  HttpServerOptions options;
  options.write_deadline = milliseconds{50};
  Served served(options);
  const Client slow(served.loop, *served.server, false);
  slow.say(kAsk);
  ASSERT_TRUE(served.await(1));
  const auto stream = served.streams[0];
  const std::string much(64'000, 'x');
  // Until the system takes no more.
  ASSERT_TRUE(run_until(served.loop, [&] {
    if (stream->waiting() < HttpStream::kMostWaiting / 2) {
      stream->send(much);
    }
    return !stream->open();
  }));
  EXPECT_TRUE(run_until(served.loop, [&] { return served.closed == 1; }));
  EXPECT_EQ(served.server->connections(), 0U);
}

TEST(HttpStream, ForWhomTooMuchWaitsIsCut) {
  HttpServerOptions options;
  options.write_deadline = std::chrono::hours{1};
  Served served(options);
  const Client slow(served.loop, *served.server, false);
  slow.say(kAsk);
  ASSERT_TRUE(served.await(1));
  const Client quick(served.loop, *served.server);
  quick.say(kAsk);
  ASSERT_TRUE(served.await(2));
  const std::string much(10'000, 'x');
  std::size_t worst = 0;
  int called_inside = 0;
  ASSERT_TRUE(run_until(served.loop, [&] {
    const int before = served.closed;
    served.streams[0]->send(much);
    if (served.streams[1]->waiting() < HttpStream::kMostWaiting / 2) {
      served.streams[1]->send(much);
    }
    called_inside += served.closed - before;
    worst = std::max(worst, served.streams[0]->waiting());
    return !served.streams[0]->open();
  }));
  EXPECT_EQ(called_inside, 0) << "send() calls nobody";
  EXPECT_LE(worst, HttpStream::kMostWaiting);
  EXPECT_GT(worst, HttpStream::kMostWaiting - much.size());
  EXPECT_TRUE(run_until(served.loop, [&] { return served.closed == 1; }));
  EXPECT_TRUE(served.streams[1]->open());
  EXPECT_FALSE(quick.ended());
}

TEST(HttpStream, OneMoreThanAllowedIsAskedToComeAgain) {
  HttpServerOptions options;
  options.most_streams = 1;
  Served served(options);
  auto first = std::make_unique<Client>(served.loop, *served.server);
  first->say(kAsk);
  ASSERT_TRUE(served.await(1));
  const Client second(served.loop, *served.server);
  second.say(kAsk);
  ASSERT_TRUE(run_until(served.loop, [&] { return second.answers() == 1; }));
  EXPECT_TRUE(second.heard().starts_with("HTTP/1.1 503 ")) << second.heard();
  EXPECT_NE(second.heard().find("\r\nRetry-After: 5\r\n"), std::string::npos);
  EXPECT_FALSE(served.streams[1]->open());
  ASSERT_TRUE(run_until(served.loop, [&] { return served.closed == 1; }));
  EXPECT_TRUE(served.streams[0]->open());
  // The connection stays good, and there is room when the first has gone.
  first.reset();
  ASSERT_TRUE(run_until(served.loop, [&] { return served.closed == 2; }));
  second.say(kAsk);
  ASSERT_TRUE(run_until(served.loop, [&] { return second.answers() == 2; }));
  EXPECT_TRUE(served.streams[2]->open());
}

TEST(HttpStream, HeadHasNone) {
  Served served;
  const Client client(served.loop, *served.server);
  client.say("HEAD /s HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
  EXPECT_EQ(body_of(client), "");
  EXPECT_EQ(client.answers(), 1U);
  EXPECT_FALSE(served.streams[0]->open());
  EXPECT_TRUE(run_until(served.loop, [&] { return served.closed == 1; }));
}

TEST(HttpStream, EndsWhenNobodyKeepsIt) {
  Served served;
  served.first = "all there is";
  const Client client(served.loop, *served.server);
  client.say(kAsk);
  ASSERT_TRUE(served.await(1));
  served.streams.clear();
  ASSERT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
  EXPECT_EQ(body_of(client), "c\r\nall there is\r\n0\r\n\r\n");
  run_ready(served.loop);
  EXPECT_EQ(served.closed, 0) << "forgotten with the stream";
}

TEST(HttpStream, TheEndOfTheServerIsSeenButNotToldOf) {
  Served served;
  const Client client(served.loop, *served.server);
  client.say(kAsk);
  ASSERT_TRUE(served.await(1));
  run_ready(served.loop);
  served.server.reset();
  EXPECT_FALSE(served.streams[0]->open());
  EXPECT_FALSE(served.streams[0]->send("x"));
  ASSERT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
  run_ready(served.loop);
  EXPECT_EQ(served.closed, 0);
}

TEST(HttpStream, WhoTalksIntoItIsCut) {
  Served served;
  const Client client(served.loop, *served.server);
  client.say(kAsk);
  ASSERT_TRUE(served.await(1));
  const std::string much(4096, 'x');
  EXPECT_TRUE(run_until(served.loop, [&] {
    client.say(much);
    return served.closed == 1;
  }));
}

}  // namespace
}  // namespace stillpoint::net
