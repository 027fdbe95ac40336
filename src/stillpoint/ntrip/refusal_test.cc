#include "stillpoint/ntrip/refusal.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "stillpoint/net/retry.h"

namespace stillpoint::ntrip {
namespace {

net::SourceAddress address() {
  net::SourceAddress a;
  a.kind = net::SourceKind::kNtrip;
  a.text = "ntrip://ditch-1@caster.example/LHOL0?password_file=secret.txt";
  a.host = "caster.example";
  a.mount = "LHOL0";
  a.user = "ditch-1";
  a.password_file = "secret.txt";
  return a;
}

ResponseHead head_of(std::string_view text) {
  ResponseReader reader;
  const auto complete = reader.feed(
      {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
  EXPECT_TRUE(complete.has_value() && *complete) << text;
  return reader.head();
}

Error explained(std::string_view text) {
  Error error = explain(head_of(text), address());
  EXPECT_EQ(error.where, address().text);
  EXPECT_FALSE(error.remedy.empty()) << text;
  return error;
}

TEST(Refusal, WhatEndsASourceAndWhatIsWaitedOut) {
  for (const int status : {400, 401, 403, 404, 405, 410}) {
    const Error e = explained("HTTP/1.1 " + std::to_string(status) + " x\n\n");
    EXPECT_FALSE(net::is_worth_retrying(e, false)) << status;
  }
  for (const int status : {408, 409, 429, 500, 501, 503, 505}) {
    const Error e = explained("HTTP/1.1 " + std::to_string(status) + " x\n\n");
    EXPECT_TRUE(net::is_worth_retrying(e, false)) << status;
  }
}

TEST(Refusal, WrongPassword) {
  for (const std::string_view text : {"HTTP/1.0 401 Unauthorized\r\n\r\n",
                                      "ERROR - Bad Password\r\n",
                                      "ICY 401 Unauthorized\r\n\r\n"}) {
    const Error e = explained(text);
    EXPECT_EQ(e.code, ErrorCode::kConfig);
    EXPECT_EQ(e.what, "wrong user name or password, says the caster");
    EXPECT_EQ(e.remedy,
              "check the user name 'ditch-1' and the password in secret.txt");
  }
}

TEST(Refusal, NoUserWhereOneIsNeeded) {
  net::SourceAddress a = address();
  a.user.clear();
  const Error e = explain(head_of("HTTP/1.1 401 x\n\n"), a);
  EXPECT_EQ(e.what, "the caster wants a user name and a password");
}

TEST(Refusal, DigestIsNotKnown) {
  EXPECT_EQ(explained("HTTP/1.1 401 x\nWWW-Authenticate: Digest a\n\n").code,
            ErrorCode::kUnsupported);
}

TEST(Refusal, OtherWords) {
  EXPECT_EQ(explained("HTTP/1.1 503 Full\x1b[2J\n\n").what,
            "the caster cannot serve us: 'HTTP/1.1 503 Full?[2J'");
  EXPECT_EQ(explained("HTTP/1.1 403 Forbidden\n\n").what,
            "the caster forbids us the mountpoint 'LHOL0'");
  EXPECT_EQ(explained("ERROR - Mount Point Taken or Invalid\n").what,
            "no such mountpoint 'LHOL0' at the caster");
  EXPECT_EQ(explained("ERROR - Full\n").what,
            "the caster refuses: 'ERROR - Full'");
}

TEST(Refusal, RedirectsAreNotFollowed) {
  const Error e =
      explained("HTTP/1.1 301 Moved\nLocation: http://other.example/\n\n");
  EXPECT_FALSE(net::is_worth_retrying(e, false));
  EXPECT_EQ(e.what,
            "the caster sends us elsewhere, to 'http://other.example/'; that "
            "is not followed, since the password would go there too");
}

TEST(Refusal, NoCaster) {
  EXPECT_EQ(explained("SSH-2.0-x\n").what,
            "what answers is no caster: it says 'SSH-2.0-x'");
  EXPECT_EQ(explained("HTTP/1.1 200 OK\nContent-Type: text/html\n\n").what,
            "what answers is no caster: it sends 'text/html'");
  EXPECT_EQ(explained("\xD3").what, "what answers is no caster");
}

TEST(Refusal, Version1IsTriedAfterSomeAnswersOnly) {
  EXPECT_TRUE(suggests_version_1(head_of("HTTP/1.0 400 Bad\n\n")));
  EXPECT_TRUE(suggests_version_1(head_of("HTTP/1.0 501 No\n\n")));
  EXPECT_TRUE(suggests_version_1(head_of("HTTP/1.0 505 No\n\n")));
  EXPECT_FALSE(suggests_version_1(head_of("HTTP/1.0 401 No\n\n")));
  EXPECT_FALSE(suggests_version_1(head_of("HTTP/1.0 503 No\n\n")));
  EXPECT_FALSE(suggests_version_1(head_of("HTTP/1.0 302 No\n\n")));
}

Sourcetable table_of(std::string_view text) {
  auto table = parse_sourcetable(text);
  EXPECT_TRUE(table.has_value());
  return std::move(*table);
}

TEST(Refusal, NamesWhatTheCasterHas) {
  const Error e = no_such_mount(
      address(), table_of("STR;VALLEY;a\nSTR;lhol00;a\nSTR;LHOR0;a\n"));
  EXPECT_EQ(e.code, ErrorCode::kConfig);
  EXPECT_EQ(e.what,
            "no such mountpoint 'LHOL0'; the caster has: lhol00, LHOR0, "
            "VALLEY");
  EXPECT_EQ(e.remedy, "did you mean 'lhol00'? Upper and lower case matter");
}

TEST(Refusal, ManyNamesAreCut) {
  std::string text;
  for (int i = 0; i < 40; ++i) {
    text += "STR;OTHERNAME" + std::to_string(i) + ";a\n";
  }
  const Error e = no_such_mount(address(), table_of(text));
  EXPECT_NE(e.what.find("OTHERNAME7 and 32 more"), std::string::npos) << e.what;
  EXPECT_EQ(e.remedy, "write one of the caster's mountpoints behind the host");
}

TEST(Refusal, EmptyTableAndListedMount) {
  EXPECT_EQ(no_such_mount(address(), {}).what,
            "no such mountpoint 'LHOL0'; the caster has none at all");
  EXPECT_EQ(no_such_mount(address(), table_of("STR;LHOL0;a\n")).code,
            ErrorCode::kIo);
}

}  // namespace
}  // namespace stillpoint::ntrip
