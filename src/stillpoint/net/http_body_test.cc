#include "stillpoint/net/http_body.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "stillpoint/net/http_head.h"

namespace stillpoint::net {
namespace {

using State = HttpBodyReader::State;

constexpr std::size_t kLimit = 64;
constexpr BodyFields kChunks{false, true, true, 0};

struct Outcome {
  State state = State::kMore;
  int status = 0;
  std::string body, behind;
  bool operator==(const Outcome&) const = default;
};

// In two pieces, the second one byte by byte where `size` is 1.
Outcome read_body(std::string_view bytes,
                  std::size_t first,
                  std::size_t size,
                  const BodyFields& how = kChunks) {
  HttpBodyReader reader(how, kLimit);
  while (!bytes.empty() && reader.state() == State::kMore) {
    std::string_view piece = bytes.substr(0, first);
    bytes.remove_prefix(piece.size());
    first = size;
    reader.feed(piece);
    bytes = {piece.data(), piece.size() + bytes.size()};
  }
  Outcome outcome{reader.state(), reader.status(), reader.take(), {}};
  if (outcome.state == State::kComplete) {
    outcome.behind = bytes;
  }
  return outcome;
}

Outcome read_body(std::string_view bytes) {
  return read_body(bytes, bytes.size(), bytes.size());
}

// kind: published   source: RFC 9112, section 7.1, from memory
// tolerance: 0, bytes
TEST(HttpBody, ChunksAreJoinedAndTrailersReadAway) {
  const Outcome plain =
      read_body("5\r\nhello\r\nB\r\n there, all\r\n0\r\n\r\nGET /");
  EXPECT_EQ(plain.state, State::kComplete);
  EXPECT_EQ(plain.body, "hello there, all");
  EXPECT_EQ(plain.behind, "GET /") << "left for the next request";
  const Outcome dressed = read_body(
      "01;a\r\nx\r\n0a ; b=\"c;\t\xE9\"\r\n0123456789\r\n000;z\r\n"
      "Digest: a:b\r\nX:\r\n\r\n");
  EXPECT_EQ(dressed.state, State::kComplete);
  EXPECT_EQ(dressed.body, "x0123456789");
  EXPECT_EQ(read_body("0\r\n\r\n").state, State::kComplete);
  EXPECT_EQ(read_body("0\r\n\r\n").body, "");
  EXPECT_EQ(read_body("0\r\n\r").state, State::kMore);
}

TEST(HttpBody, ALengthIsCounted) {
  const BodyFields five{false, false, false, 5};
  for (std::size_t cut = 1; cut < 7; ++cut) {
    const Outcome o = read_body("hellothere", cut, 1, five);
    EXPECT_EQ(o.state, State::kComplete);
    EXPECT_EQ(o.body, "hello");
    EXPECT_EQ(o.behind, "there");
  }
  EXPECT_EQ(HttpBodyReader(BodyFields{}, 0).state(), State::kComplete);
  const BodyFields fits{false, false, false, kLimit};
  EXPECT_EQ(HttpBodyReader(fits, kLimit).state(), State::kMore);
  const BodyFields more{false, false, false, kLimit + 1};
  EXPECT_EQ(HttpBodyReader(more, kLimit).status(), 413);
}

TEST(HttpBody, AnySplitGivesTheSame) {
  using namespace std::literals;
  for (const std::string_view text :
       {"5;x=y\r\nhello\r\n3\r\nabc\r\n0\r\nA: b\r\n\r\nnext"sv,
        "2\r\nabX\r\n"sv,
        "41\r\n"sv,
        "1\r\na\r\n0\r\nA b\r\n\r\n"sv}) {
    const Outcome whole = read_body(text);
    for (std::size_t cut = 1; cut < text.size(); ++cut) {
      EXPECT_EQ(read_body(text, cut, text.size()), whole) << cut << text;
      EXPECT_EQ(read_body(text, cut, 1), whole) << cut << text;
    }
  }
}

// kind: published   source: RFC 9112, sections 7.1 and 7.1.1, from memory; the
// limits are ours
// tolerance: 0, a status code
TEST(HttpBody, WhatAnotherReaderCouldTakeDifferentlyIsRefused) {
  using namespace std::literals;
  const struct {
    const char* what;
    std::string_view bytes;
    int status;
  } cases[] = {
      {"no digits", "\r\n"sv, 400},
      {"an extension without a size", ";a\r\n"sv, 400},
      {"a blank before the size", " 1\r\n"sv, 400},
      {"a blank behind the size", "1 \r\n"sv, 400},
      {"two sizes", "1 1\r\n"sv, 400},
      {"a sign", "+1\r\n"sv, 400},
      {"a minus", "-1\r\n"sv, 400},
      {"a prefix", "0x1\r\n"sv, 400},
      {"no hexadecimal digit", "g\r\n"sv, 400},
      {"an underscore", "1_0\r\n"sv, 400},
      {"LF alone behind the size", "1\nx"sv, 400},
      {"CR alone behind the size", "1\rx"sv, 400},
      {"LF alone in an extension", "1;a\nx"sv, 400},
      {"CR alone in an extension", "1;a\rb\r\n"sv, 400},
      {"NUL in an extension", "1;\0\r\n"sv, 400},
      {"data longer than said", "1\r\nab\r\n"sv, 400},
      {"data shorter than said", "3\r\na\r\n0\r\n\r\n"sv, 400},
      {"LF alone behind the data", "1\r\na\n0\r\n\r\n"sv, 400},
      {"CR alone behind the data", "1\r\na\r0\r\n\r\n"sv, 400},
      {"the largest of 64 bits", "FFFFFFFFFFFFFFFF\r\n"sv, 413},
      {"more than 64 bits", "10000000000000000\r\n"sv, 400},
      {"more than 64 bits, small again", "10000000000000001\r\n"sv, 400},
      {"zeros without end", "00000000000000000"sv, 400},
      {"one byte above the limit", "41\r\n"sv, 413},
      {"above the limit in two",
       "20\r\n0123456789abcdef0123456789abcdef\r\n21\r\n"sv,
       413},
      {"a folded trailer", "0\r\nA: b\r\n c\r\n\r\n"sv, 400},
      {"a trailer without a colon", "0\r\nA\r\n\r\n"sv, 400},
      {"a trailer without a name", "0\r\n: a\r\n\r\n"sv, 400},
      {"a blank before the colon", "0\r\nA : b\r\n\r\n"sv, 400},
      {"LF alone behind a trailer", "0\r\nA: b\n\r\n"sv, 400},
      {"CR alone at the end", "0\r\n\rx"sv, 400},
      {"LF alone at the end", "0\r\n\n"sv, 400},
  };
  for (const auto& c : cases) {
    for (const std::size_t size : {c.bytes.size(), std::size_t{1}}) {
      const Outcome o = read_body(c.bytes, size, size);
      EXPECT_EQ(o.state, State::kRefused) << c.what << ", by " << size;
      EXPECT_EQ(o.status, c.status) << c.what << ", by " << size;
      EXPECT_EQ(o.body, "") << c.what;
    }
  }
}

TEST(HttpBody, WhatStandsBesideTheDataIsBounded) {
  const std::string fits =
      "0\r\nA:" + std::string(HttpBodyReader::kMaxBeside - 2, 'x');
  EXPECT_EQ(read_body(fits + "\r\n\r\n").state, State::kComplete);
  EXPECT_EQ(read_body(fits + "x").status, 431);
  EXPECT_EQ(
      read_body("0;" + std::string(HttpBodyReader::kMaxBeside, 'x')).status,
      400);
  // All chunks together, not each.
  std::string many;
  for (std::size_t i = 0; i < kLimit; ++i) {
    many +=
        "1;" + std::string(HttpBodyReader::kMaxBeside / 50, 'x') + "\r\na\r\n";
  }
  EXPECT_EQ(read_body(many).status, 400);
}

// What the head makes of a body where bodies are allowed.
struct Headed {
  const char* what;
  std::string_view head;
  int status;  // 0: taken
  std::size_t length = 0;
};

// kind: published   source: RFC 9110, section 9; RFC 9112, sections 6.1 to 6.3,
// from memory; the limit is ours
// tolerance: 0, a status code
TEST(HttpBody, TheHeadSaysWhetherOneMayCome) {
  using namespace std::literals;
  HttpRules rules;
  rules.methods = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"};
  rules.most_body = 5;
  const Headed cases[] = {
      {"counted",
       "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\n\r\n"sv,
       0,
       5},
      {"PUT", "PUT / HTTP/1.1\r\nHost: a\r\nContent-Length: 1\r\n\r\n"sv, 0, 1},
      {"PATCH",
       "PATCH / HTTP/1.1\r\nHost: a\r\nContent-Length: 1\r\n\r\n"sv,
       0,
       1},
      {"DELETE", "DELETE / HTTP/1.1\r\nHost: a\r\n\r\n"sv, 0},
      {"too long",
       "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 6\r\n\r\n"sv,
       413},
      {"64 bits",
       "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 18446744073709551615\r\n\r\n"sv,
       413},
      {"more than 64 bits",
       "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 18446744073709551616\r\n\r\n"sv,
       400},
      {"chunks",
       "POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: Chunked\r\n\r\n"sv,
       0},
      {"another coding below",
       "POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: gzip, chunked\r\n\r\n"sv,
       501},
      {"chunks in 1.0",
       "POST / HTTP/1.0\r\nTransfer-Encoding: chunked\r\n\r\n"sv,
       400},
      {"both",
       "POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\nContent-Length: 5\r\n\r\n"sv,
       400},
      {"both, the other way round",
       "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n"sv,
       400},
      {"two lengths",
       "POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\nContent-Length: 4\r\n\r\n"sv,
       400},
      {"a GET with a body",
       "GET / HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\n\r\n"sv,
       413},
      {"a HEAD with chunks",
       "HEAD / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\n"sv,
       413},
      {"no such method", "TRACE / HTTP/1.1\r\nHost: a\r\n\r\n"sv, 501},
  };
  for (const Headed& c : cases) {
    HttpHeadReader reader(rules);
    std::string_view bytes = c.head;
    reader.feed(bytes);
    EXPECT_EQ(reader.status(), c.status) << c.what;
    EXPECT_EQ(reader.state() == HttpHeadReader::State::kComplete, c.status == 0)
        << c.what;
    if (c.status == 0) {
      EXPECT_EQ(reader.body().length, c.length) << c.what;
    }
  }
}

TEST(HttpBody, TheLimitMayDependOnTheRequest) {
  HttpRules rules;
  rules.methods = {"POST"};
  rules.most_body = 1000;  // not asked
  rules.body_limit = [](const HttpRequest& head) {
    EXPECT_EQ(head.address, "192.0.2.7");
    EXPECT_TRUE(head.tls);
    return std::size_t{head.path() == "/big" ? 10U : 2U};
  };
  for (const auto& [path, status] :
       {std::pair{"/big?x", 0}, std::pair{"/small", 413}}) {
    HttpHeadReader reader(rules, {"192.0.2.7", true});
    const std::string head = std::string("POST ") + path +
                             " HTTP/1.1\r\nHost: a\r\nContent-Length: 3\r\n"
                             "Expect: 100-Continue\r\n\r\n";
    std::string_view bytes = head;
    reader.feed(bytes);
    EXPECT_EQ(reader.status(), status) << path;
    EXPECT_EQ(reader.expects_continue(), status == 0) << path;
  }
}

}  // namespace
}  // namespace stillpoint::net
