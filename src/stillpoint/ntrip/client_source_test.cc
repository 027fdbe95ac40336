#include "stillpoint/ntrip/client_source.h"

#include <gtest/gtest.h>

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/ntrip/test_caster.h"

namespace stillpoint::ntrip {
namespace {

using Scripts = std::vector<Script>;

constexpr const char* kIcy = "ICY 200 OK\r\n\r\n";
constexpr const char* kChunked =
    "HTTP/1.1 200 OK\r\nNtrip-Version: Ntrip/2.0\r\n"
    "Content-Type: gnss/data\r\nTransfer-Encoding: chunked\r\n\r\n";

// A caster, a source on it and what the source says.
struct Visit {
  explicit Visit(Scripts scripts) : caster(loop, std::move(scripts)) {}

  // Runs to the end, or until that many body bytes have come.
  void go(int version = 0, std::size_t bytes = 0) {
    start(version);
    if (bytes > 0) {
      recorder.enough = [this, bytes] {
        return recorder.bytes.size() >= bytes;
      };
    }
    EXPECT_TRUE(run(loop));
  }

  void start(int version = 0) {
    auto opened =
        open_client_source(loop, address_of(caster, version), options, client);
    ASSERT_TRUE(opened.has_value());
    source = std::move(*opened);
    source->start(recorder);
  }

  net::Loop loop;
  TestCaster caster;
  Recorder recorder{loop};
  net::SourceOptions options = quick_options();
  ClientOptions client = test_client();
  std::unique_ptr<net::ByteSource> source;
};

TEST(ClientSource, Version1) {
  Visit v({{{std::string(kIcy) + "\xD3raw"}, false}});
  v.go(1, 4);
  EXPECT_EQ(v.recorder.bytes, "\xD3raw");
  EXPECT_EQ(v.recorder.states(), "opening open");
  EXPECT_EQ(v.caster.requests(),
            std::vector<std::string>{"GET /LHOL00XXX HTTP/1.0\r\n"
                                     "User-Agent: NTRIP Stillpoint/0.1.0\r\n"
                                     "Authorization: Basic "
                                     "ZGl0Y2gtMTpsYXJjaA==\r\n\r\n"});
}

TEST(ClientSource, Version2InChunks) {
  Visit v({{{kChunked, "3\r\nabc\r\n", "2\r\nde\r\n"}, false}});
  v.go(2, 5);
  EXPECT_EQ(v.recorder.bytes, "abcde");
  EXPECT_EQ(v.recorder.states(), "opening open");
  EXPECT_TRUE(
      v.caster.requests()[0].starts_with("GET /LHOL00XXX HTTP/1.1\r\n"));
}

TEST(ClientSource, Version2Plain) {
  Visit v({{{"HTTP/1.1 200 OK\r\nContent-Type: gnss/data\r\n\r\nabc"}, false}});
  v.go(0, 3);
  EXPECT_EQ(v.recorder.bytes, "abc");
}

TEST(ClientSource, LineFeedsAlone) {
  Visit v(
      {{{"HTTP/1.1 200 OK\nTransfer-Encoding: chunked\n\n3\nabc\n"}, false}});
  v.go(0, 3);
  EXPECT_EQ(v.recorder.bytes, "abc");
}

TEST(ClientSource, SplitInEveryPlace) {
  for (const std::string& text :
       {std::string(kIcy) + "\xD3rawdata",
        std::string("HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n"
                    "4\r\n\xD3raw\r\n4\r\ndata\r\n")}) {
    for (std::size_t cut = 1; cut < text.size(); ++cut) {
      Visit v({{{text.substr(0, cut), text.substr(cut)}, false}});
      v.go(0, 8);
      EXPECT_EQ(v.recorder.bytes, "\xD3rawdata") << cut;
      EXPECT_EQ(v.recorder.states(), "opening open") << cut;
    }
  }
}

TEST(ClientSource, OpenBeforeTheFirstByteOfTheStream) {
  Visit v({{{kChunked}, false}});
  v.recorder.enough = [&v] { return v.recorder.statuses.size() == 2; };
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening open");
}

TEST(ClientSource, AnswerInVersion1IsTakenAndRemembered) {
  Visit v(
      {{{std::string(kIcy) + "abc"}}, {{std::string(kIcy) + "def"}, false}});
  v.go(0, 6);
  EXPECT_EQ(v.recorder.bytes, "abcdef");
  EXPECT_EQ(v.recorder.states(), "opening open waiting opening open");
  ASSERT_EQ(v.caster.requests().size(), 2U);
  EXPECT_NE(v.caster.requests()[0].find("HTTP/1.1"), std::string::npos);
  EXPECT_NE(v.caster.requests()[1].find("HTTP/1.0"), std::string::npos);
}

TEST(ClientSource, FallsBackToVersion1) {
  for (const Script& first : {Script{{"HTTP/1.0 400 Bad Request\r\n\r\n"}},
                              Script{{"HTTP/1.0 501 Not Implemented\r\n\r\n"}},
                              Script{{"HTTP/1.0 505 No\r\n\r\n"}},
                              Script{{}},
                              Script{{}, true, true}}) {
    Visit v({first, {{std::string(kIcy) + "abc"}, false}});
    v.go(0, 3);
    EXPECT_EQ(v.recorder.bytes, "abc");
    EXPECT_EQ(v.recorder.states(), "opening open");
    EXPECT_NE(v.caster.requests().back().find("HTTP/1.0"), std::string::npos);
  }
}

TEST(ClientSource, WaitsForABusyCasterAndAsksInVersion2Again) {
  Visit v({{{"HTTP/1.1 503 Full\r\n\r\n"}},
           {{std::string(kChunked) + "3\r\nabc\r\n"}, false}});
  v.go(0, 3);
  EXPECT_EQ(v.recorder.states(), "opening waiting opening open");
  EXPECT_EQ(v.recorder.why().code, ErrorCode::kIo);
  EXPECT_NE(v.caster.requests()[1].find("HTTP/1.1"), std::string::npos);
}

TEST(ClientSource, FixedVersionDoesNotFallBack) {
  Visit v({{{"HTTP/1.0 400 Bad Request\r\n\r\n"}}});
  v.go(2);
  EXPECT_EQ(v.recorder.states(), "opening ended");
  EXPECT_EQ(v.caster.requests().size(), 1U);
}

TEST(ClientSource, WrongPasswordEndsAndIsNotRepeated) {
  Visit v(
      {{{"HTTP/1.1 401 Unauthorized\r\n"
         "WWW-Authenticate: Basic realm=\"/LHOL00XXX\"\r\n\r\n"}}});
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
  const Error& why = v.recorder.why();
  EXPECT_EQ(why.what, "wrong user name or password, says the caster");
  EXPECT_EQ(why.remedy,
            "check the user name 'ditch-1' and the password in the variable "
            "PASS");
  EXPECT_EQ((why.text() + why.remedy).find("larch"), std::string::npos);
}

TEST(ClientSource, UnknownMountpointIsLookedUpInTheTable) {
  Visit v({{{"HTTP/1.1 404 Not Found\r\n\r\n"}},
           {{"SOURCETABLE 200 OK\r\n\r\nSTR;VALLEY;a\r\nSTR;LHOL00XXY;b\r\n"
             "ENDSOURCETABLE\r\n"},
            false}});
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
  EXPECT_EQ(v.recorder.why().what,
            "no such mountpoint 'LHOL00XXX'; the caster has: LHOL00XXY, "
            "VALLEY");
  ASSERT_EQ(v.caster.requests().size(), 2U);
  EXPECT_TRUE(v.caster.requests()[1].starts_with("GET / HTTP/1.1\r\n"));
}

TEST(ClientSource, UnknownMountpointWithoutATable) {
  Visit v({{{"HTTP/1.1 404 Not Found\r\n\r\n"}}});
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
  EXPECT_EQ(v.recorder.why().what,
            "no such mountpoint 'LHOL00XXX' at the caster");
}

TEST(ClientSource, TableInsteadOfTheStream) {
  for (const bool whole : {true, false}) {
    Visit v({{{std::string("SOURCETABLE 200 OK\r\nContent-Type: text/plain\r\n"
                           "\r\nSTR;LHOL00XXY;b\r\n") +
               (whole ? "ENDSOURCETABLE\r\n" : "")},
              !whole}});
    v.go(1);
    EXPECT_EQ(v.recorder.states(), "opening ended");
    EXPECT_EQ(v.recorder.why().what,
              "no such mountpoint 'LHOL00XXX'; the caster has: LHOL00XXY");
    EXPECT_TRUE(v.recorder.bytes.empty());
  }
}

TEST(ClientSource, RedirectIsNotFollowed) {
  Visit v({{{"HTTP/1.1 302 Found\r\nLocation: http://127.0.0.1/\r\n\r\n"}}});
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
  EXPECT_EQ(v.caster.requests().size(), 1U);
  EXPECT_NE(v.recorder.why().what.find("elsewhere"), std::string::npos);
}

TEST(ClientSource, WhatIsNoCasterEnds) {
  Visit v({{{"SSH-2.0-x\r\n"}}});
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
}

TEST(ClientSource, ClosedInAChunkComesBack) {
  Visit v({{{std::string(kChunked) + "5\r\nab"}},
           {{std::string(kChunked) + "3\r\ncde\r\n"}, false}});
  v.go(0, 5);
  EXPECT_EQ(v.recorder.bytes, "abcde");
  EXPECT_EQ(v.recorder.states(), "opening open waiting opening open");
}

TEST(ClientSource, DamagedOrEndedChunksComeBack) {
  for (const char* end : {"xyz", "0\r\n\r\n"}) {
    Visit v({{{std::string(kChunked) + "2\r\nab\r\n" + end}, false},
             {{std::string(kChunked) + "3\r\ncde\r\n"}, false}});
    v.go(0, 5);
    EXPECT_EQ(v.recorder.bytes, "abcde");
    EXPECT_EQ(v.recorder.states(), "opening open waiting opening open");
    EXPECT_EQ(v.recorder.why().code, ErrorCode::kIo);
  }
}

TEST(ClientSource, WhatEndsAtFirstIsWaitedOutAfterAStream) {
  Visit v({{{std::string(kChunked) + "2\r\nab\r\n"}},
           {{"HTTP/1.1 404 Not Found\r\n\r\n"}},
           {{std::string(kChunked) + "1\r\nc\r\n"}, false}});
  v.go(0, 3);
  EXPECT_EQ(v.recorder.bytes, "abc");
  EXPECT_EQ(v.recorder.states(),
            "opening open waiting opening waiting opening open");
}

TEST(ClientSource, WithoutReconnectTheFirstLossIsTheEnd) {
  Visit v({{{std::string(kIcy) + "abc"}}});
  v.options.reconnect = false;
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening open ended");
  EXPECT_EQ(v.recorder.bytes, "abc");
}

TEST(ClientSource, NoAnswerIsALoss) {
  Visit v({{{}, false}});
  v.options.connect_s = 0.05;
  v.options.reconnect = false;
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
  EXPECT_EQ(v.recorder.why().what, "the caster does not answer");
}

TEST(ClientSource, PasswordIsReadAtEveryConnection) {
  Visit v({{{std::string(kChunked) + "1\r\na\r\n"}},
           {{std::string(kChunked) + "1\r\nb\r\n"}, false}});
  int read = 0;
  v.options.environment = [&read](const std::string&) {
    return std::optional<std::string>("pass" + std::to_string(++read));
  };
  v.go(0, 2);
  ASSERT_EQ(v.caster.requests().size(), 2U);
  // base64 of ditch-1:pass1 and ditch-1:pass2.
  EXPECT_NE(v.caster.requests()[0].find("Basic ZGl0Y2gtMTpwYXNzMQ==\r\n"),
            std::string::npos);
  EXPECT_NE(v.caster.requests()[1].find("Basic ZGl0Y2gtMTpwYXNzMg==\r\n"),
            std::string::npos);
}

TEST(ClientSource, MissingPasswordEndsBeforeAnythingIsSent) {
  Visit v({{{std::string(kIcy)}}});
  v.options.environment = nullptr;
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
  EXPECT_EQ(v.recorder.why().code, ErrorCode::kUsage);
  EXPECT_TRUE(v.caster.requests().empty());
}

TEST(ClientSource, PositionIsSentInTheHeadAndOnTheConnection) {
  Visit v({{{kChunked}, false}});
  v.client.gga = [] { return std::string("$GPGGA,1*00\r\n"); };
  v.caster.on_sent_after([&v] {
    if (v.caster.sent_after().ends_with('\n')) {
      v.loop.stop();
    }
  });
  v.go(2);
  EXPECT_NE(v.caster.requests()[0].find("\r\nNtrip-GGA: $GPGGA,1*00\r\n"),
            std::string::npos);
  EXPECT_EQ(v.caster.sent_after(), "$GPGGA,1*00\r\n");
}

TEST(ClientSource, SendsOnlyWhenOpen) {
  Visit v({{{kIcy, "a"}, false}});
  v.start(1);
  const std::string text = "$GPGGA\r\n";
  const ByteSpan bytes{reinterpret_cast<const std::uint8_t*>(text.data()),
                       text.size()};
  EXPECT_EQ(v.source->send(bytes).error().code, ErrorCode::kIo);
  v.recorder.enough = [&v, bytes] {
    if (v.recorder.bytes == "a") {
      EXPECT_TRUE(v.source->send(bytes).has_value());
    }
    return false;
  };
  v.caster.on_sent_after([&v, &text] {
    if (v.caster.sent_after() == text) {
      v.loop.stop();
    }
  });
  EXPECT_TRUE(run(v.loop));
  EXPECT_EQ(v.caster.sent_after(), text);
}

// With every way a status or bytes may arrive: nothing after, and no memory
// is touched that is gone (run with ASan).
TEST(ClientSource, MayBeStoppedOrDestroyedFromItsSink) {
  const Scripts lives[] = {
      {{{std::string(kIcy) + "abc", "def"}, false}},
      {{{std::string(kChunked) + "1\r\na\r\n1\r\nb\r\n0\r\n\r\n"}}},
      {{{"HTTP/1.1 503 x\r\n\r\n"}}},
      {{{"HTTP/1.1 404 x\r\n\r\n"}}},
      {{{"SOURCETABLE 200 OK\r\nENDSOURCETABLE\r\n"}}}};
  for (const Scripts& scripts : lives) {
    for (std::size_t at = 1; at <= 3; ++at) {
      for (const bool destroy : {true, false}) {
        Visit v(scripts);
        v.start();
        std::size_t calls = 0;
        v.recorder.enough = [&] {
          if (++calls == at) {
            if (destroy) {
              v.source.reset();
            } else {
              v.source->stop();
            }
            v.loop.after(std::chrono::milliseconds(1), [&] { v.loop.stop(); });
          }
          return false;
        };
        EXPECT_TRUE(run(v.loop));
        EXPECT_LE(calls, at);
      }
    }
  }
}

TEST(ClientSource, RefusesWhatIsNoMountpoint) {
  net::Loop loop;
  auto address = net::parse_source("tcp://127.0.0.1:2101");
  ASSERT_TRUE(address.has_value());
  const auto plain =
      open_client_source(loop, *address, quick_options(), test_client());
  ASSERT_FALSE(plain.has_value());
  EXPECT_EQ(plain.error().code, ErrorCode::kUsage);
  EXPECT_TRUE(open_any_source(loop, *address, quick_options(), test_client()));
  address = net::parse_source("ntrip://127.0.0.1:2101/");
  ASSERT_TRUE(address.has_value());
  const auto table =
      open_any_source(loop, *address, quick_options(), test_client());
  ASSERT_FALSE(table.has_value());
  EXPECT_EQ(table.error().what, "no mountpoint is named");
}

}  // namespace
}  // namespace stillpoint::ntrip
