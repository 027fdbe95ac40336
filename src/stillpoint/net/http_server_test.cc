#include "stillpoint/net/http_server.h"

#include <gtest/gtest.h>

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/net/http_client_test_support.h"

namespace stillpoint::net {
namespace {

using std::chrono::milliseconds;
using test::Client;
using test::echo;
using test::kGet;
using test::run_ready;
using test::run_until;
using test::serve;

TEST(HttpServer, AnswersAndKeepsTheConnection) {
  Loop loop;
  const auto server = serve(loop);
  const Client client(loop, *server);
  client.say(kGet);
  ASSERT_TRUE(run_until(loop, [&] { return client.answers() == 1; }));
  client.say("HEAD /b HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(run_until(loop, [&] { return client.answers() == 2; }));
  EXPECT_NE(client.heard().find("\r\n\r\nGET /a\n"), std::string::npos);
  EXPECT_TRUE(client.heard().ends_with("\r\n\r\n")) << "HEAD has no body";
  EXPECT_NE(client.heard().find("Content-Length: 8\r\n"), std::string::npos);
  EXPECT_EQ(server->connections(), 1U);
}

TEST(HttpServer, RequestsInOnePieceAreAnsweredInOrder) {
  Loop loop;
  const auto server = serve(loop);
  const Client client(loop, *server);
  std::string all, wanted;
  for (int i = 0; i < 500; ++i) {
    all += "GET /" + std::to_string(i) + " HTTP/1.1\r\nHost: a\r\n\r\n";
  }
  client.say(all);
  ASSERT_TRUE(run_until(loop, [&] { return client.answers() == 500; }));
  std::size_t at = 0;
  for (int i = 0; i < 500; ++i) {
    at = client.heard().find("GET /" + std::to_string(i) + "\n", at);
    ASSERT_NE(at, std::string::npos) << i;
  }
}

// kind: published   source: RFC 9112, sections 9.3 and 9.6, from memory
// tolerance: 0
TEST(HttpServer, EndsTheConnectionBehindTheLastAnswer) {
  for (const std::string_view request :
       {"GET /a HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n",
        "GET /a HTTP/1.0\r\n\r\n"}) {
    Loop loop;
    const auto server = serve(loop);
    const Client client(loop, *server);
    client.say(std::string(request) + std::string(kGet));
    ASSERT_TRUE(run_until(loop, [&] { return client.ended(); })) << request;
    EXPECT_TRUE(client.ended_well());
    EXPECT_EQ(client.answers(), 1U) << "what follows is not looked at";
    EXPECT_NE(client.heard().find("Connection: close\r\n"), std::string::npos);
  }
}

TEST(HttpServer, ABadRequestIsAnsweredAndEnded) {
  const struct {
    std::string_view request;
    std::string_view status;
  } cases[] = {
      {"GET / HTTP/1.1\r\n\r\n", "HTTP/1.1 400 "},
      {"PUT / HTTP/1.1\r\nHost: a\r\n\r\n", "HTTP/1.1 405 "},
      {"BREW / HTTP/1.1\r\nHost: a\r\n\r\n", "HTTP/1.1 501 "},
      {"\x16\x03\x01", "HTTP/1.1 400 "},
  };
  for (const auto& c : cases) {
    Loop loop;
    int calls = 0;
    const auto server = serve(loop, {}, [&](const HttpRequest&) {
      ++calls;
      return HttpResponse{};
    });
    const Client client(loop, *server);
    client.say(c.request);
    ASSERT_TRUE(run_until(loop, [&] { return client.ended(); }));
    EXPECT_TRUE(client.heard().starts_with(c.status)) << client.heard();
    EXPECT_EQ(client.heard().find("Allow: GET, HEAD\r\n") != std::string::npos,
              c.status == "HTTP/1.1 405 ");
    EXPECT_EQ(calls, 0);
  }
}

// The bytes that follow are read away: closing with unread bytes would make the
// system reset the connection, and the answer would be lost (RFC 9112, 9.6).
TEST(HttpServer, WhoSendsABodyStillGetsTheAnswer) {
  Loop loop;
  const auto server = serve(loop);
  const Client client(loop, *server);
  client.say("POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 100000\r\n\r\n" +
             std::string(100'000, 'x'));
  ASSERT_TRUE(run_until(loop, [&] { return client.ended(); }));
  EXPECT_TRUE(client.ended_well());
  EXPECT_TRUE(client.heard().starts_with("HTTP/1.1 405 "));
}

TEST(HttpServer, WhoSendsWithoutEndIsCutOff) {
  Loop loop;
  HttpServerOptions options;
  options.linger = std::chrono::hours{1};
  const auto server = serve(loop, options);
  const Client client(loop, *server);
  client.say("POST / HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(run_until(loop, [&] { return client.answers() == 1; }));
  EXPECT_EQ(server->connections(), 1U);
  const std::string more(4096, 'x');
  EXPECT_TRUE(run_until(loop, [&] {
    client.say(more);
    return server->connections() == 0;
  }));
}

// The deadline is one for the whole head, and not one a byte: 8 KiB at a byte
// every 10 ms would take longer than the watchdog of run_until().
TEST(HttpServer, ASlowHeadIsCutWhateverItsSpeed) {
  Loop loop;
  HttpServerOptions options;
  options.head_deadline = milliseconds{100};
  const auto server = serve(loop, options);
  const Client client(loop, *server);
  client.say("GET / HTTP/1.1\r\nX: ");
  std::function<void()> drip = [&] {
    client.say("x");
    loop.after(milliseconds{10}, drip);
  };
  drip();
  EXPECT_TRUE(run_until(loop, [&] { return client.ended(); }));
  EXPECT_EQ(client.answers(), 0U);
}

TEST(HttpServer, AnIdleConnectionIsCut) {
  Loop loop;
  HttpServerOptions options;
  options.idle_deadline = milliseconds{20};
  const auto server = serve(loop, options);
  const Client silent(loop, *server);
  ASSERT_TRUE(run_until(loop, [&] { return silent.ended(); }));
  // After an answer too; where this computer is busy it may be cut before.
  bool answered = false;
  for (int tries = 0; tries < 1000 && !answered; ++tries) {
    const Client client(loop, *server);
    client.say(kGet);
    ASSERT_TRUE(run_until(loop, [&] { return client.ended(); }));
    answered = client.answers() == 1;
  }
  EXPECT_TRUE(answered);
}

// Empty lines before a request are no beginning of one.
TEST(HttpServer, EmptyLinesDoNotKeepAConnection) {
  Loop loop;
  HttpServerOptions options;
  options.idle_deadline = milliseconds{100};
  const auto server = serve(loop, options);
  const Client client(loop, *server);
  std::function<void()> drip = [&] {
    client.say("\r\n");
    loop.after(milliseconds{20}, drip);
  };
  drip();
  EXPECT_TRUE(run_until(loop, [&] { return client.ended(); }));
}

// More than the system takes for a client that does not read.
constexpr std::size_t kBigPage = std::size_t{32} << 20U;

HttpResponse big_or_small(const HttpRequest& request) {
  HttpResponse page;
  page.body.assign(request.target == "/big" ? kBigPage : 1, 'x');
  return page;
}

TEST(HttpServer, WhoDoesNotReadHoldsUpNobody) {
  Loop loop;
  HttpServerOptions options;
  options.write_deadline = std::chrono::hours{1};
  const auto server = serve(loop, options, big_or_small);
  const Client slow(loop, *server, false);
  slow.say("GET /big HTTP/1.1\r\nHost: a\r\n\r\n");
  const Client quick(loop, *server);
  for (std::size_t i = 1; i <= 50; ++i) {
    quick.say(kGet);
    ASSERT_TRUE(run_until(loop, [&] { return quick.answers() == i; }));
  }
  EXPECT_EQ(server->connections(), 2U);
}

TEST(HttpServer, WhoDoesNotReadIsCut) {
  Loop loop;
  HttpServerOptions options;
  options.write_deadline = milliseconds{20};
  bool asked = false;
  const auto server = serve(loop, options, [&](const HttpRequest& request) {
    asked = true;
    return big_or_small(request);
  });
  const Client slow(loop, *server, false);
  slow.say("GET /big HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(
      run_until(loop, [&] { return asked && server->connections() == 0; }));
  slow.read();
  ASSERT_TRUE(run_until(loop, [&] { return slow.ended(); }));
  EXPECT_LT(slow.heard().size(), kBigPage);
}

TEST(HttpServer, ForANewcomerTheOldestIdleOneGoes) {
  Loop loop;
  HttpServerOptions options;
  options.most_connections = 3;
  const auto server = serve(loop, options);
  const Client first(loop, *server);
  const Client head(loop, *server);
  head.say("GET");  // no longer idle
  const Client third(loop, *server);
  ASSERT_TRUE(run_until(loop, [&] { return server->connections() == 3; }));
  first.say(kGet);  // so that the third has been idle for longer
  ASSERT_TRUE(run_until(loop, [&] { return first.answers() == 1; }));
  const Client fourth(loop, *server);
  ASSERT_TRUE(run_until(loop, [&] { return third.ended(); }));
  const Client fifth(loop, *server);
  ASSERT_TRUE(run_until(loop, [&] { return first.ended(); }));
  EXPECT_FALSE(head.ended());
  EXPECT_EQ(server->connections(), 3U);
  // None idle: the one whose head has taken the longest.
  fourth.say("GET");
  fifth.say("GET");
  run_ready(loop);
  const Client sixth(loop, *server);
  ASSERT_TRUE(run_until(loop, [&] { return head.ended(); }));
  sixth.say(kGet);
  ASSERT_TRUE(run_until(loop, [&] { return sixth.answers() == 1; }));
  EXPECT_FALSE(fourth.ended());
  EXPECT_FALSE(fifth.ended());
}

TEST(HttpServer, AStormLeavesRoomForWhoAsks) {
  Loop loop;
  const auto server = serve(loop);
  std::vector<std::unique_ptr<Client>> storm;
  for (int i = 0; i < 300; ++i) {
    storm.push_back(std::make_unique<Client>(loop, *server));
    if (i % 2 == 0) {
      storm.back()->say("GET / HT");
    }
    run_ready(loop);
  }
  const Client client(loop, *server);
  client.say(kGet);
  EXPECT_TRUE(run_until(loop, [&] { return client.answers() == 1; }));
  EXPECT_LE(server->connections(), 64U);
}

TEST(HttpServer, ItsEndClosesEverythingEvenInsideTheHandler) {
  Loop loop;
  std::unique_ptr<HttpServer> server;
  server = serve(loop, {}, [&](const HttpRequest&) {
    server.reset();
    return HttpResponse{};
  });
  const Client idle(loop, *server);
  const Client client(loop, *server);
  client.say(kGet);
  EXPECT_TRUE(run_until(loop, [&] { return idle.ended() && client.ended(); }));
  EXPECT_EQ(client.heard(), "");
  EXPECT_EQ(server, nullptr);
}

TEST(HttpServer, SaysWhyItCannotListen) {
  Loop loop;
  const auto server = serve(loop);
  const auto again =
      HttpServer::listen(loop, "127.0.0.1", server->port(), {}, echo);
  ASSERT_FALSE(again);
  EXPECT_EQ(again.error().code, ErrorCode::kIo);
  EXPECT_EQ(again.error().what, "the port is taken by another program");
  const auto named = HttpServer::listen(loop, "localhost", 0, {}, echo);
  ASSERT_FALSE(named);
  EXPECT_EQ(named.error().code, ErrorCode::kConfig);
  // TEST-NET-1 (RFC 5737): no computer has it.
  const auto elsewhere = HttpServer::listen(loop, "192.0.2.1", 0, {}, echo);
  ASSERT_FALSE(elsewhere);
  EXPECT_EQ(elsewhere.error().where, "192.0.2.1:0");
}

TEST(HttpServer, TheIpv6WildcardTakesIpv4AsWell) {
  Loop loop;
  auto server = HttpServer::listen(loop, "::", 0, {}, echo);
  if (!server) {
    GTEST_SKIP() << "skipped: no IPv6 here";
  }
  const Client client(loop, **server);
  client.say(kGet);
  EXPECT_TRUE(run_until(loop, [&] { return client.answers() == 1; }));
}

}  // namespace
}  // namespace stillpoint::net
