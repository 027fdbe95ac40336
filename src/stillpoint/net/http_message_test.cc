#include "stillpoint/net/http_message.h"

#include <gtest/gtest.h>

namespace stillpoint::net {
namespace {

TEST(HttpAnswer, SaysLengthTypeAndManners) {
  HttpResponse page;
  page.content_type = "application/json";
  page.body = "{}\n";
  page.extra = {{"Allow", "GET"}};
  EXPECT_EQ(http_answer(page, false, true),
            "HTTP/1.1 200 OK\r\n"
            "Content-Type: application/json\r\n"
            "Content-Length: 3\r\n"
            "Cache-Control: no-store\r\n"
            "X-Content-Type-Options: nosniff\r\n"
            "Connection: keep-alive\r\n"
            "Allow: GET\r\n"
            "\r\n"
            "{}\n");
}

// kind: published   source: RFC 9110, section 9.3.2: the fields of a GET
// tolerance: 0
TEST(HttpAnswer, ToHeadHasTheLengthAndNoBody) {
  HttpResponse page;
  page.body = "twelve bytes";
  const std::string text = http_answer(page, true, false);
  EXPECT_NE(text.find("Content-Length: 12\r\n"), std::string::npos);
  EXPECT_NE(text.find("Connection: close\r\n"), std::string::npos);
  EXPECT_TRUE(text.ends_with("\r\n\r\n"));
}

TEST(HttpAnswer, AValueCannotBeginAnotherField) {
  HttpResponse page;
  page.extra = {{"X", "a\r\nSet-Cookie: b"}};
  const std::string text = http_answer(page, false, true);
  EXPECT_NE(text.find("X: a  Set-Cookie: b\r\n"), std::string::npos);
  EXPECT_EQ(text.find("\nSet-Cookie"), std::string::npos);
}

TEST(HttpAnswer, StatusPagesNameTheirStatus) {
  EXPECT_EQ(http_status_page(404).body, "404 Not Found\n");
  EXPECT_EQ(http_status_page(404).status, 404);
  for (const int status : {200, 400, 404, 405, 413, 414, 431, 501, 503, 505}) {
    EXPECT_GT(http_status_page(status).body.size(), 6U) << status;
  }
}

// kind: published   source: RFC 9110, sections 8.6, 15.3.5 and 15.4.5
// tolerance: 0
TEST(HttpAnswer, SomeStatusesHaveNoBody) {
  for (const int status : {204, 304}) {
    HttpResponse page;
    page.status = status;
    page.body = "lost";
    const std::string text = http_answer(page, false, true);
    EXPECT_TRUE(text.ends_with("\r\n\r\n"));
    EXPECT_EQ(text.find("Content-"), text.find("Content-Type-Options"));
    EXPECT_FALSE(has_body(status));
  }
  EXPECT_TRUE(has_body(200));
}

TEST(HttpAnswer, MayBeKeptWhereItSaysSo) {
  HttpResponse page;
  page.extra = {{"cache-control", "max-age=60"}};
  const std::string text = http_answer(page, false, true);
  EXPECT_EQ(text.find("no-store"), std::string::npos);
  EXPECT_NE(text.find("cache-control: max-age=60\r\n"), std::string::npos);
}

TEST(HttpAnswer, TheEndIsSaidOneWay) {
  HttpResponse page;
  page.body = "x";
  EXPECT_NE(http_answer_head(page, HttpEnd::kChunked, false)
                .find("Transfer-Encoding: chunked\r\n"),
            std::string::npos);
  for (const HttpEnd end : {HttpEnd::kChunked, HttpEnd::kClosed}) {
    EXPECT_EQ(http_answer_head(page, end, false).find("Content-Length"),
              std::string::npos);
  }
}

}  // namespace
}  // namespace stillpoint::net
