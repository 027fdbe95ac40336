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
  for (const int status : {200, 400, 404, 405, 413, 414, 431, 503, 505}) {
    EXPECT_GT(http_status_page(status).body.size(), 6U) << status;
  }
}

}  // namespace
}  // namespace stillpoint::net
