// Requests with bodies, from the socket to the handler.
#include <gtest/gtest.h>

#include <memory>
#include <string>
#include <vector>

#include "stillpoint/net/http_client_test_support.h"

namespace stillpoint::net {
namespace {

using std::chrono::milliseconds;
using test::Client;
using test::kGet;
using test::run_until;

// The bodies that have come.
struct Served {
  explicit Served(HttpServerOptions options = {}) {
    options.methods = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"};
    if (!options.body_limit && options.most_body == 0) {
      options.most_body = 1000;
    }
    server = test::serve(loop, options, [this](const HttpRequest& request) {
      heard.push_back(request);
      HttpResponse page;
      page.body =
          request.method + " of " + std::to_string(request.body.size()) + "\n";
      return page;
    });
  }
  Loop loop;
  std::vector<HttpRequest> heard;
  std::unique_ptr<HttpServer> server;
};

std::string post(const std::string& fields, const std::string& rest) {
  return "POST /p HTTP/1.1\r\nHost: a\r\n" + fields + "\r\n" + rest;
}

TEST(HttpRequests, BodiesComeWholeWhereverTheyAreSplit) {
  Served served;
  const std::string requests[] = {
      post("Content-Length: 5\r\n", "hello"),
      post("Transfer-Encoding: chunked\r\n",
           "2\r\nhe\r\n3;x\r\nllo\r\n0\r\n\r\n"),
  };
  std::size_t count = 0;
  for (const std::string& request : requests) {
    const Client client(served.loop, *served.server);
    std::size_t mine = 0;
    for (std::size_t cut = 1; cut < request.size(); ++cut) {
      client.say(request.substr(0, cut));
      test::run_ready(served.loop);
      client.say(request.substr(cut));
      ++mine;
      ASSERT_TRUE(run_until(served.loop, [&] {
        return client.answers() == mine || client.ended();
      }));
      ASSERT_EQ(client.answers(), mine) << cut;
      ASSERT_EQ(served.heard.size(), ++count);
      EXPECT_EQ(served.heard.back().body, "hello") << cut;
      EXPECT_EQ(served.heard.back().address, "127.0.0.1");
      EXPECT_FALSE(served.heard.back().tls);
    }
  }
}

TEST(HttpRequests, WhatFollowsABodyIsTheNextRequest) {
  Served served;
  const Client client(served.loop, *served.server);
  client.say(post("Content-Length: 3\r\n", "abc") +
             post("Transfer-Encoding: chunked\r\n", "1\r\nx\r\n0\r\n\r\n") +
             "DELETE /d HTTP/1.1\r\nHost: a\r\n\r\n" + std::string(kGet));
  ASSERT_TRUE(run_until(served.loop, [&] { return client.answers() == 4; }));
  EXPECT_EQ(served.heard[0].body, "abc");
  EXPECT_EQ(served.heard[1].body, "x");
  EXPECT_EQ(served.heard[2].method, "DELETE");
  EXPECT_EQ(served.heard[3].body, "");
}

// kind: published   source: RFC 9110, section 10.1.1, from memory
// tolerance: 0
TEST(HttpRequests, WhoWaitsToBeAskedIsAsked) {
  Served served;
  const Client client(served.loop, *served.server);
  client.say(post("Content-Length: 3\r\nExpect: 100-continue\r\n", ""));
  ASSERT_TRUE(run_until(served.loop, [&] { return client.answers() == 1; }));
  EXPECT_EQ(client.heard(), "HTTP/1.1 100 Continue\r\n\r\n");
  EXPECT_TRUE(served.heard.empty());
  client.say("abc");
  ASSERT_TRUE(run_until(served.loop, [&] { return client.answers() == 2; }));
  EXPECT_EQ(served.heard[0].body, "abc");
  // Who does not wait is not asked, nor is who must not send it.
  client.say(post("Content-Length: 3\r\nExpect: 100-continue\r\n", "abc"));
  ASSERT_TRUE(run_until(served.loop, [&] { return client.answers() == 3; }));
  const Client refused(served.loop, *served.server);
  refused.say(post("Content-Length: 3000\r\nExpect: 100-continue\r\n", ""));
  ASSERT_TRUE(run_until(served.loop, [&] { return refused.ended(); }));
  EXPECT_TRUE(refused.heard().starts_with("HTTP/1.1 413 ")) << refused.heard();
}

// Nothing behind them is taken for a request.
TEST(HttpRequests, ADamagedBodyEndsTheConnection) {
  const struct {
    std::string request;
    const char* status;
  } cases[] = {
      {post("Transfer-Encoding: chunked\r\n", "x\r\n"), "400"},
      {post("Transfer-Encoding: chunked\r\n", "3E9\r\n"), "413"},
      {post("Content-Length: 1001\r\n", ""), "413"},
      {post("Content-Length: 3\r\nTransfer-Encoding: chunked\r\n", "0\r\n\r\n"),
       "400"},
      {post("Content-Length: 3\r\nContent-Length: 4\r\n", "abc"), "400"},
      {post("Transfer-Encoding: gzip, chunked\r\n", "0\r\n\r\n"), "501"},
  };
  for (const auto& c : cases) {
    Served served;
    const Client client(served.loop, *served.server);
    client.say(c.request + std::string(kGet));
    ASSERT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
    EXPECT_TRUE(client.ended_well()) << c.request;
    EXPECT_EQ(client.heard().substr(9, 3), c.status) << c.request;
    EXPECT_EQ(client.answers(), 1U) << c.request;
    EXPECT_TRUE(served.heard.empty()) << c.request;
  }
}

TEST(HttpRequests, ASlowBodyIsCutWhateverItsSpeed) {
  HttpServerOptions options;
  options.body_deadline = milliseconds{100};
  Served served(options);
  const Client client(served.loop, *served.server);
  client.say(post("Content-Length: 1000\r\n", ""));
  std::function<void()> drip = [&] {
    client.say("x");
    served.loop.after(milliseconds{10}, drip);
  };
  drip();
  EXPECT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
  EXPECT_EQ(client.answers(), 0U);
  EXPECT_TRUE(served.heard.empty());
}

TEST(HttpRequests, ABodyThatStopsIsCut) {
  HttpServerOptions options;
  options.body_deadline = std::chrono::hours{1};
  options.body_idle_deadline = milliseconds{20};
  Served served(options);
  const Client client(served.loop, *served.server);
  client.say(post("Transfer-Encoding: chunked\r\n", "5\r\nab"));
  EXPECT_TRUE(run_until(served.loop, [&] { return client.ended(); }));
  EXPECT_EQ(client.answers(), 0U);
}

TEST(HttpRequests, BodiesTogetherAreBounded) {
  HttpServerOptions options;
  options.most_body = 1000;
  options.most_held = 1500;
  Served served(options);
  const std::string most(999, 'x');
  auto first = std::make_unique<Client>(served.loop, *served.server);
  first->say(post("Content-Length: 1000\r\n", most));
  test::run_ready(served.loop);
  const Client second(served.loop, *served.server);
  second.say(post("Content-Length: 1000\r\n", most));
  ASSERT_TRUE(run_until(served.loop, [&] { return second.ended(); }));
  EXPECT_TRUE(second.heard().starts_with("HTTP/1.1 503 ")) << second.heard();
  EXPECT_NE(second.heard().find("\r\nRetry-After: "), std::string::npos);
  // Room again when the first has gone, and after every request.
  first.reset();
  const Client third(served.loop, *served.server);
  ASSERT_TRUE(run_until(served.loop,
                        [&] { return served.server->connections() == 1; }));
  for (std::size_t i = 1; i <= 3; ++i) {
    third.say(post("Content-Length: 1000\r\n", most + "x"));
    ASSERT_TRUE(run_until(served.loop, [&] { return third.answers() == i; }));
  }
  EXPECT_EQ(served.heard.size(), 3U);
}

// Who sends a body goes after who sends a head.
TEST(HttpRequests, ForANewcomerAHeadGoesBeforeABody) {
  HttpServerOptions options;
  options.most_connections = 2;
  Served served(options);
  const Client body(served.loop, *served.server);
  body.say(post("Content-Length: 10\r\n", "x"));
  const Client head(served.loop, *served.server);
  head.say("GET");
  ASSERT_TRUE(run_until(served.loop,
                        [&] { return served.server->connections() == 2; }));
  test::run_ready(served.loop);
  const Client third(served.loop, *served.server);
  ASSERT_TRUE(run_until(served.loop, [&] { return head.ended(); }));
  EXPECT_FALSE(body.ended());
}

}  // namespace
}  // namespace stillpoint::net
