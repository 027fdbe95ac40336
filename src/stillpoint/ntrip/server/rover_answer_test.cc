// Answers of both versions, byte by byte.
#include "stillpoint/ntrip/server/rover_answer.h"

#include <gtest/gtest.h>

namespace stillpoint::ntrip {
namespace {

const AnswerStyle kStyle{.program_version = "0.1.0", .unix_s = 784111777};

// Version 2 begins so.
std::string second(const std::string& status) {
  return "HTTP/1.1 " + status +
         "\r\nNtrip-Version: Ntrip/2.0\r\nServer: NTRIP Stillpoint/0.1.0\r\n"
         "Date: Sun, 06 Nov 1994 08:49:37 GMT\r\n"
         "Cache-Control: no-store, no-cache, max-age=0\r\n"
         "Pragma: no-cache\r\nConnection: close\r\n";
}

std::string first(const std::string& status) {
  return "HTTP/1.0 " + status +
         "\r\nServer: NTRIP Stillpoint/0.1.0\r\n"
         "Date: Sun, 06 Nov 1994 08:49:37 GMT\r\nConnection: close\r\n";
}

// kind: published   source: RFC 9110, section 5.6.7, for that second; and a
// recorded reply in tests/vectors/ntrip.txt; the leap day and the century
// worked by hand
TEST(HttpDate, IsThatOfTheStandard) {
  EXPECT_EQ(http_date(784111777), "Sun, 06 Nov 1994 08:49:37 GMT");
  EXPECT_EQ(http_date(1548780058), "Tue, 29 Jan 2019 16:40:58 GMT");
  EXPECT_EQ(http_date(951782399), "Mon, 28 Feb 2000 23:59:59 GMT");
  EXPECT_EQ(http_date(951782400), "Tue, 29 Feb 2000 00:00:00 GMT");
}

// kind: published   source: heads as in RTCM 10410.0 and 10410.1 (from memory)
TEST(Answer, StreamHeadsAreThoseOfTheVersions) {
  EXPECT_EQ(stream_head(Version::k1, false, kStyle), "ICY 200 OK\r\n\r\n");
  EXPECT_EQ(stream_head(Version::k2, true, kStyle),
            second("200 OK") +
                "Content-Type: gnss/data\r\nTransfer-Encoding: chunked\r\n"
                "\r\n");
  EXPECT_EQ(stream_head(Version::k2, false, kStyle),
            second("200 OK") + "Content-Type: gnss/data\r\n\r\n");
}

TEST(Answer, TableHeadsAreThoseOfTheVersions) {
  EXPECT_EQ(table_head(Version::k1, 42, kStyle),
            "SOURCETABLE 200 OK\r\nServer: NTRIP Stillpoint/0.1.0\r\n"
            "Content-Type: text/plain\r\nContent-Length: 42\r\n\r\n");
  EXPECT_EQ(table_head(Version::k2, 42, kStyle),
            second("200 OK") +
                "Content-Type: gnss/sourcetable\r\nContent-Length: 42\r\n"
                "\r\n");
}

TEST(Answer, RefusalsAreWholeInBothVersions) {
  EXPECT_EQ(refusal_text(401, Version::k1, "LHOL00XXX", kStyle),
            first("401 Unauthorized") +
                "WWW-Authenticate: Basic realm=\"/LHOL00XXX\"\r\n"
                "Content-Type: text/plain\r\nContent-Length: 18\r\n\r\n"
                "401 Unauthorized\r\n");
  EXPECT_EQ(refusal_text(401, Version::k2, "LHOL00XXX", kStyle),
            second("401 Unauthorized") +
                "WWW-Authenticate: Basic realm=\"/LHOL00XXX\"\r\n"
                "Content-Type: text/plain\r\nContent-Length: 18\r\n\r\n"
                "401 Unauthorized\r\n");
  EXPECT_EQ(refusal_text(405, Version::k1, "", kStyle),
            first("405 Method Not Allowed") +
                "Allow: GET\r\nContent-Type: text/plain\r\n"
                "Content-Length: 24\r\n\r\n405 Method Not Allowed\r\n");
  EXPECT_EQ(refusal_text(503, Version::k2, "", kStyle),
            second("503 Service Unavailable") +
                "Retry-After: 30\r\nContent-Type: text/plain\r\n"
                "Content-Length: 25\r\n\r\n503 Service Unavailable\r\n");
  const std::vector<std::pair<int, std::string>> others{
      {400, "400 Bad Request"},
      {403, "403 Forbidden"},
      {404, "404 Not Found"},
      {408, "408 Request Timeout"},
      {431, "431 Request Header Fields Too Large"},
      {505, "505 HTTP Version Not Supported"}};
  for (const auto& [status, line] : others) {
    const std::string rest = "Content-Type: text/plain\r\nContent-Length: " +
                             std::to_string(line.size() + 2) + "\r\n\r\n" +
                             line + "\r\n";
    EXPECT_EQ(refusal_text(status, Version::k1, "A", kStyle),
              first(line) + rest);
    EXPECT_EQ(refusal_text(status, Version::k2, "A", kStyle),
              second(line) + rest);
  }
}

TEST(Answer, NameInTheRealmCannotLeaveItsQuotes) {
  const std::string text =
      refusal_text(401, Version::k1, "A\"\r\nX: \\", kStyle);
  EXPECT_NE(text.find("realm=\"/A___X: _\"\r\n"), std::string::npos) << text;
}

}  // namespace
}  // namespace stillpoint::ntrip
