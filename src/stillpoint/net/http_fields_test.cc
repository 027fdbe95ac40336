// Rules that the grammar behind HttpHeadReader already holds in part, held here
// by themselves: another grammar must not open what they close.
#include "stillpoint/net/http_fields.h"

#include <gtest/gtest.h>

namespace stillpoint::net {
namespace {

constexpr const char* kLength = "Content-Length";
constexpr const char* kCoding = "transfer-encoding";

// kind: published   source: RFC 9112, sections 6.1 to 6.3, from memory
// tolerance: 0
TEST(BodyFields, AmbiguityIsDamage) {
  const std::vector<HttpField> damaged[] = {
      {{kCoding, "chunked"}, {kLength, "0"}},
      {{kLength, "5"}, {kCoding, "gzip, chunked"}},
      {{kLength, "0"}, {kLength, "0"}},
      {{kLength, ""}},
      {{kLength, "18446744073709551616"}},
      {{kLength, "1 "}},
      {{kCoding, ""}},
      {{kCoding, "chunked"}, {kCoding, "gzip"}},
  };
  for (const auto& fields : damaged) {
    EXPECT_TRUE(read_body_fields(fields).damaged)
        << fields.front().name << ": " << fields.front().value;
  }
}

TEST(BodyFields, LinesOfOneNameAreOneList) {
  const auto body =
      read_body_fields({{kCoding, "gzip"}, {"X", "y"}, {kCoding, "\tchunked"}});
  EXPECT_TRUE(body.coded);
  EXPECT_FALSE(body.damaged);
}

TEST(BodyFields, ALengthIsRead) {
  const auto body = read_body_fields({{"content-length", "007"}});
  EXPECT_EQ(body.length, 7U);
  EXPECT_FALSE(body.coded || body.damaged);
  const auto none = read_body_fields({{"Content-Lengths", "7"}});
  EXPECT_EQ(none.length, 0U);
  EXPECT_FALSE(none.coded || none.damaged);
}

TEST(OriginForm, ADamagedEndIsNoTarget) {
  EXPECT_EQ(origin_form("/%"), std::nullopt);
  EXPECT_EQ(origin_form("/%4"), std::nullopt);
  EXPECT_EQ(origin_form(""), std::nullopt);
  EXPECT_EQ(origin_form("http://"), std::nullopt);
  EXPECT_EQ(origin_form("http:/"), std::nullopt);
  EXPECT_EQ(origin_form("/%4a"), "/%4a");
}

}  // namespace
}  // namespace stillpoint::net
