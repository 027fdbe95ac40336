// Requests as rovers send them, good and damaged, split at every byte.
#include "stillpoint/ntrip/server/rover_request.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/ntrip/server/credentials.h"

namespace stillpoint::ntrip {
namespace {

using State = RequestReader::State;

ByteSpan bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

// One line of all that was read.
std::string read(std::string_view text, std::size_t first, std::size_t size) {
  RequestReader reader;
  State state = State::kMore;
  std::size_t left = 0;
  while (!text.empty()) {
    ByteSpan piece = bytes_of(text.substr(0, first));
    text.remove_prefix(piece.size());
    first = size;
    state = reader.feed(piece);
    left = piece.size() + text.size();
    if (state != State::kMore) {
      break;
    }
  }
  if (state == State::kMore) {
    return "more";
  }
  const RoverRequest& r = reader.request();
  if (state == State::kRefused) {
    return fmt::format(
        "{} v{} left={}", reader.status(), static_cast<int>(r.version), left);
  }
  return fmt::format("v{}{} [{}] {}:{} agent={} gga={} left={}",
                     static_cast<int>(r.version),
                     r.http11 ? " 1.1" : "",
                     r.mount,
                     r.user,
                     r.password,
                     r.user_agent,
                     r.gga,
                     left);
}

struct Case {
  std::string text, expected;
};

const std::string kSecond =
    "Host: 127.0.0.1:2101\r\nNtrip-Version: Ntrip/2.0\r\n";

// kind: cross (the grammar in words against the reader)
// source: forms of the recorded exchanges in tests/vectors and RTCM
// 10410.0/10410.1 (from memory); RFC 7617 section 2.1 for "Aladdin:open
// sesame", whose letters are published there; RFC 9112 sections 2.2,
// 3, 5.1, 5.2 for what is damaged
std::vector<Case> cases() {
  const std::string login = "QWxhZGRpbjpvcGVuIHNlc2FtZQ==";
  return {
      {"GET /LHOL00XXX HTTP/1.0\r\nUser-Agent: NTRIP SPDEMO/1\r\n"
       "Authorization: Basic " +
           login + "\r\n\r\n",
       "v1 [LHOL00XXX] Aladdin:open sesame agent=NTRIP SPDEMO/1 gga= left=0"},
      {"GET /LHOL00XXX HTTP/1.1\r\n" + kSecond +
           "Ntrip-GGA: $GPGGA,1*00\r\n\r\n$GP",
       "v2 1.1 [LHOL00XXX] : agent= gga=$GPGGA,1*00 left=3"},
      // Names in any case, LF alone, no User-Agent, blanks around values.
      {"GET /A HTTP/1.1\nhOST:a\nNTRIP-VERSION:   ntrip/2.0  \n"
       "authorization: bASIC " +
           login + "\n\n",
       "v2 1.1 [A] Aladdin:open sesame agent= gga= left=0"},
      {"\r\n\r\nGET / HTTP/1.0\r\n\r\n", "v1 [] : agent= gga= left=0"},
      {"GET /A HTTP/1.0\r\nNtrip-Version: Ntrip/2.0\r\n\r\n",
       "v2 [A] : agent= gga= left=0"},
      {"GET /A HTTP/1.1\r\nNtrip-Version: Ntrip/1.0\r\n\r\n",
       "v1 1.1 [A] : agent= gga= left=0"},
      {"GET http://caster.example:2101/A HTTP/1.1\r\n" + kSecond + "\r\n",
       "v2 1.1 [A] : agent= gga= left=0"},
      {"GET http://caster.example HTTP/1.1\r\n" + kSecond + "\r\n",
       "v2 1.1 [] : agent= gga= left=0"},
      {"GET /L%48OL?x=1 HTTP/1.0\r\n\r\n", "v1 [LHOL] : agent= gga= left=0"},
      // Credentials that are none: as if none came.
      {"GET /A HTTP/1.0\r\nAuthorization: Bearer abc\r\n\r\n",
       "v1 [A] : agent= gga= left=0"},
      {"GET /A HTTP/1.0\r\nAuthorization: Basic QWx*\r\n\r\n",
       "v1 [A] : agent= gga= left=0"},
      {"GET /A HTTP/1.0\r\nAuthorization: Basic " + login.substr(0, 26) +
           "\r\n\r\n",
       "v1 [A] Aladdin:open sesame agent= gga= left=0"},
      // Not whole yet.
      {"GET /A HTTP/1.0\r\n", "more"},
      // The first line.
      {"GET /A\r\n\r\n", "400 v1 left=2"},
      {"hello\n", "400 v1 left=0"},
      {"G(T /A HTTP/1.0\r\n", "400 v1 left=0"},
      {"GET /A HTTP/x.0\r\n", "400 v1 left=0"},
      {"GET /A HTTP/2.0\r\n", "505 v1 left=0"},
      {"GET /A HTTP/0.9\r\n", "505 v1 left=0"},
      {"SOURCE larch /A\r\nSource-Agent: NTRIP x\r\n", "405 v1 left=23"},
      {std::string("\x16\x03\x01\x02", 4), "400 v1 left=3"},
      // The rest of the head is read: the answer's form depends on it.
      {"POST /A HTTP/1.1\r\n" + kSecond + "\r\n", "405 v2 left=0"},
      {"get /A HTTP/1.0\r\n\r\n", "405 v1 left=0"},
      {"GET A HTTP/1.0\r\n\r\n", "400 v1 left=0"},
      {"GET * HTTP/1.1\r\n" + kSecond + "\r\n", "400 v2 left=0"},
      {"GET /A B HTTP/1.0\r\n\r\n", "400 v1 left=0"},
      {"GET /%4 HTTP/1.0\r\n\r\n", "400 v1 left=0"},
      {"GET /%0A HTTP/1.0\r\n\r\n", "400 v1 left=0"},
      {"GET /" + std::string(101, 'A') + " HTTP/1.0\r\n\r\n", "400 v1 left=0"},
      {"GET /A HTTP/1.1\r\nNtrip-Version: Ntrip/2.0\r\n\r\n",
       "400 v2 left=0"},  // no Host
      {"GET /A HTTP/1.1\r\nHost: b\r\n" + kSecond + "\r\n", "400 v2 left=0"},
      {"GET /A HTTP/1.1\r\n" + kSecond + "Bad Name: 1\r\n\r\n",
       "400 v2 left=0"},
      {"GET /A HTTP/1.1\r\n" + kSecond + "Name : 1\r\n\r\n", "400 v2 left=0"},
      {"GET /A HTTP/1.0\r\nA: 1\r\n folded\r\n\r\n", "400 v1 left=0"},
      {"GET /A HTTP/1.0\r\nno colon\r\n\r\n", "400 v1 left=0"},
      {"GET /A HTTP/1.0\r\nA: 1\r2\r\n\r\n", "400 v1 left=0"},
      {std::string("GET /A HTTP/1.0\r\nA: \0\r\n\r\n", 25), "400 v1 left=0"},
      {"GET /A HTTP/1.0\r\nContent-Length: 1x\r\n\r\n", "400 v1 left=0"},
      {"GET /A HTTP/1.0\r\nContent-Length: 1\r\nContent-Length: 1\r\n\r\n",
       "400 v1 left=0"},
      {"GET /A HTTP/1.1\r\nContent-Length: 1\r\n"
       "Transfer-Encoding: chunked\r\n\r\n",
       "400 v1 left=0"},
      {"GET /A HTTP/1.0\r\nAuthorization: Basic QTpi\r\n"
       "Authorization: Basic QTpi\r\n\r\n",
       "400 v1 left=0"},
  };
}

TEST(RequestReader, ReadsWhatRoversSendHoweverItIsSplit) {
  for (const Case& c : cases()) {
    EXPECT_EQ(read(c.text, c.text.size(), 1), c.expected) << c.text;
    for (std::size_t at = 1; at < c.text.size(); ++at) {
      ASSERT_EQ(read(c.text, at, c.text.size()), c.expected)
          << c.text << "split at " << at;
    }
    EXPECT_EQ(read(c.text, 1, 1), c.expected) << c.text;
  }
}

TEST(RequestReader, HeadIsBoundedInBytesAndHeaders) {
  std::string text = "GET /A HTTP/1.0\r\n";
  for (std::size_t i = 0; i < RequestReader::kMaxHeaders; ++i) {
    text += "A: 1\r\n";
  }
  EXPECT_EQ(read(text + "\r\n", 7, 7), "v1 [A] : agent= gga= left=0");
  EXPECT_EQ(read(text + "A: 1\r\n", 7, 7), "431 v1 left=0");

  const std::string begin = "GET /A HTTP/1.0\r\nA: ";
  const std::string full =
      begin + std::string(RequestReader::kMaxHead - begin.size() - 4, 'x');
  EXPECT_EQ(read(full + "\r\n\r\n", 99, 99), "v1 [A] : agent= gga= left=0");
  EXPECT_EQ(read(full + "x\r\n\r\n", 99, 99), "431 v1 left=0");
  EXPECT_EQ(read(std::string(9000, 'x'), 9000, 1), "431 v1 left=807");
  EXPECT_EQ(read(std::string(9000, '\n'), 9000, 1), "431 v1 left=807");
}

// kind: cross (base64 worked by hand from the table of RFC 4648, section 4)
TEST(Credentials, LettersOfAnyLengthAreRead) {
  const std::vector<std::pair<std::string, std::string>> coded_texts{
      {"Zm86", "fo:"},
      {"OmY=", ":f"},
      {"Zg==", ""},
      {"Zm9vOmJhcg==", "foo:bar"}};
  for (const auto& [coded, plain] : coded_texts) {
    const auto read = parse_basic("Basic " + coded);
    if (plain.empty()) {
      EXPECT_FALSE(read) << "no colon";
    } else {
      ASSERT_TRUE(read);
      EXPECT_EQ(read->user + ":" + read->password, plain);
    }
  }
  for (const char* bad : {"Basic",
                          "Basic ",
                          "Basic A",
                          "Basic Zm9vOmJhcg=",
                          "Basic Zm9v=mJh",
                          "Basic Zm86===",
                          "Digest Zm86"}) {
    EXPECT_FALSE(parse_basic(bad)) << bad;
  }
  // A password may hold colons and bytes beyond ASCII.
  const auto read = parse_basic(basic_credentials("club-guest", "a:\xC3\xBC"));
  ASSERT_TRUE(read);
  EXPECT_EQ(read->user, "club-guest");
  EXPECT_EQ(read->password, "a:\xC3\xBC");
}

}  // namespace
}  // namespace stillpoint::ntrip
