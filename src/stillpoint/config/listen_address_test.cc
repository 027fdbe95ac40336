#include "stillpoint/config/listen_address.h"

#include <gtest/gtest.h>

namespace stillpoint::config {
namespace {

TEST(ListenAddress, IsReadAndWrittenInOneForm) {
  const auto four = parse_listen_address("127.0.0.1:2101");
  ASSERT_TRUE(four);
  EXPECT_EQ(*four, (ListenAddress{"127.0.0.1", 2101}));
  EXPECT_EQ(four->text(), "127.0.0.1:2101");
  // kind: published   source: RFC 5952 section 4 (the shortest form, small
  // letters), its addresses from memory.   tolerance: exact
  const auto six = parse_listen_address("[2001:DB8:0:0:1:0:0:1]:65535");
  ASSERT_TRUE(six);
  EXPECT_EQ(six->text(), "[2001:db8::1:0:0:1]:65535");
  EXPECT_EQ(parse_listen_address(six->text()), six);
  EXPECT_EQ(parse_listen_address("[0::0]:1")->text(), "[::]:1");
}

TEST(ListenAddress, OtherFormsAreNone) {
  for (const char* text : {"",
                           ":",
                           ":2101",
                           "2101",
                           "127.0.0.1",
                           "127.0.0.1:",
                           "127.0.0.1:0",
                           "127.0.0.1:65536",
                           "127.0.0.1:-1",
                           "127.0.0.1:+1",
                           "127.0.0.1: 1",
                           "127.0.0.1:21x",
                           "127.0.0:2101",
                           "127.0.0.256:2101",
                           "127.0.0.01:2101",
                           "localhost:2101",
                           "*:2101",
                           "::1:2101",
                           "[::1]",
                           "[::1]2101",
                           "[::1:2101",
                           "[127.0.0.1]:2101",
                           "[fe80::1%eth0]:2101",
                           "[]:2101",
                           "[:2101",
                           "]:2101"}) {
    EXPECT_FALSE(parse_listen_address(text)) << text;
  }
  EXPECT_FALSE(parse_listen_address(std::string(1000, '1') + ":1"));
  EXPECT_FALSE(parse_listen_address(std::string_view("127.0.0.1\0:1", 12)));
}

// kind: published   source: the blocks of RFC 1122 3.2.1.3, RFC 1918 section 3,
// RFC 3927, RFC 4291, RFC 4193, all from memory: first and last address of
// each, and their neighbours outside.   tolerance: exact
TEST(StaysPrivate, KnowsTheBlocksToTheirEdges) {
  for (const char* host : {"127.0.0.0",
                           "127.255.255.255",
                           "10.0.0.0",
                           "10.255.255.255",
                           "172.16.0.0",
                           "172.31.255.255",
                           "192.168.0.0",
                           "192.168.255.255",
                           "169.254.0.0",
                           "169.254.255.255",
                           "::1",
                           "fe80::",
                           "febf:ffff::1",
                           "fc00::",
                           "fdff:ffff::1",
                           "::ffff:192.168.1.1"}) {
    EXPECT_TRUE(stays_private({host, 80})) << host;
  }
  for (const char* host : {"0.0.0.0",
                           "126.255.255.255",
                           "128.0.0.0",
                           "9.255.255.255",
                           "11.0.0.0",
                           "172.15.255.255",
                           "172.32.0.0",
                           "192.167.255.255",
                           "192.169.0.0",
                           "169.253.255.255",
                           "169.255.0.0",
                           "100.64.0.1",
                           "203.0.113.7",
                           "::",
                           "::2",
                           "fe7f::1",
                           "fec0::1",
                           "fbff::1",
                           "fe00::1",
                           "2001:db8::1",
                           "::ffff:8.0.0.1",
                           "1::ffff:10.0.0.1"}) {
    EXPECT_FALSE(stays_private({host, 80})) << host;
  }
}

}  // namespace
}  // namespace stillpoint::config
