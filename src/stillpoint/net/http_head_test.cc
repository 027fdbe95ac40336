#include "stillpoint/net/http_head.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "stillpoint/net/http_probes_test_support.h"

namespace stillpoint::net {
namespace {

using State = HttpHeadReader::State;
using test::read_head;

// kind: published   source: RFC 9112, section 3 (414), RFC 6585, section 5
// (431); the limit is ours
// tolerance: 0, to the byte
TEST(HttpHead, IsBounded) {
  const std::string begin = "GET / HTTP/1.1\r\nHost: a\r\nX: ";
  const std::string end = "\r\n\r\n";
  const std::string fits =
      begin +
      std::string(HttpHeadReader::kMaxHead - begin.size() - end.size(), 'x') +
      end;
  EXPECT_EQ(read_head(fits, fits.size()).state(), State::kComplete);
  const std::string too_long = begin + "x" + fits.substr(begin.size());
  EXPECT_EQ(read_head(too_long, 7).status(), 431);
  EXPECT_EQ(read_head("GET /" + std::string(9000, 'x'), 100).status(), 414);
  // Empty lines before the request count as well.
  std::string lines;
  while (lines.size() <= HttpHeadReader::kMaxHead) {
    lines += "\r\n";
  }
  EXPECT_EQ(read_head(lines, 1).status(), 414);
  std::string fields = "GET / HTTP/1.1\r\nHost: a\r\n";
  for (std::size_t i = 1; i < HttpHeadReader::kMaxFields; ++i) {
    fields += "X: \r\n";
  }
  EXPECT_EQ(read_head(fields + "\r\n", 50).state(), State::kComplete);
  EXPECT_EQ(read_head(fields + "X: \r\n\r\n", 50).status(), 431);
}

TEST(HttpHead, TellsWhatWasAsked) {
  std::string_view bytes =
      "GET http://a.example:9101/status.json?x=%20y HTTP/1.1\r\n"
      "Host: a.example:9101\r\nAccept: text/html;q=0.1\r\n"
      "accept:  application/json \r\n\r\nGET /next";
  HttpHeadReader reader;
  ASSERT_EQ(reader.feed(bytes), State::kComplete);
  EXPECT_EQ(bytes, "GET /next") << "left for the next request";
  const HttpRequest& request = reader.request();
  EXPECT_EQ(request.method, "GET");
  EXPECT_EQ(request.target, "/status.json?x=%20y");
  EXPECT_EQ(request.path(), "/status.json");
  EXPECT_EQ(request.query(), "x=%20y");
  EXPECT_EQ(request.field("ACCEPT"), "text/html;q=0.1, application/json");
  EXPECT_EQ(request.field("Accept-Language"), "");
  EXPECT_FALSE(reader.is_head());
}

TEST(HttpHead, AbsoluteFormWithoutAPathAsksForTheRoot) {
  EXPECT_EQ(read_head("GET http://a?json HTTP/1.1\r\nHost: a\r\n\r\n", 99)
                .request()
                .target,
            "/?json");
  EXPECT_EQ(read_head("HEAD http://a HTTP/1.1\r\nHost: a\r\n\r\n", 99)
                .request()
                .target,
            "/");
}

// kind: published   source: RFC 9112, section 9.3, from memory
// tolerance: 0
TEST(HttpHead, KnowsWhetherTheConnectionStays) {
  const struct {
    const char* version;
    const char* fields;
    bool stays;
  } cases[] = {
      {"1.1", "", true},
      {"1.1", "Connection: close\r\n", false},
      {"1.1", "Connection: Foo, CLOSE\r\n", false},
      {"1.1", "Connection: keep-alive\r\nConnection: close\r\n", false},
      {"1.0", "", false},
      {"1.0", "Connection: keep-alive\r\n", true},
      {"1.0", "Connection: Keep-Alive, close\r\n", false},
  };
  for (const auto& c : cases) {
    const auto reader = read_head(std::string("GET / HTTP/") + c.version +
                                      "\r\nHost: a\r\n" + c.fields + "\r\n",
                                  1000);
    ASSERT_EQ(reader.state(), State::kComplete) << c.fields;
    EXPECT_EQ(reader.keep_alive(), c.stays) << c.version << " " << c.fields;
  }
}

TEST(HttpHead, ARefusedHeadEndsTheConnectionAndIsStillAHead) {
  const auto reader = read_head("HEAD / HTTP/1.1\r\n\r\n", 1);
  EXPECT_EQ(reader.status(), 400);
  EXPECT_TRUE(reader.is_head());
  EXPECT_FALSE(reader.keep_alive());
}

}  // namespace
}  // namespace stillpoint::net
