#include "stillpoint/ntrip/response.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>

namespace stillpoint::ntrip {
namespace {

ByteSpan bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

struct Answer {
  ResponseHead head;
  std::string body, error;
  bool complete = false;
};

Answer read(std::string_view text, std::size_t first, std::size_t size) {
  ResponseReader reader;
  Answer answer;
  while (!text.empty()) {
    const std::string_view piece = text.substr(0, first);
    text.remove_prefix(piece.size());
    first = size;
    const auto complete = reader.feed(bytes_of(piece));
    if (!complete) {
      answer.error = complete.error().what;
      return answer;
    }
    if (*complete) {
      answer.complete = true;
      answer.head = reader.head();
      const ByteSpan body = reader.body();
      answer.body.assign(body.begin(), body.end());
      answer.body += text;
      return answer;
    }
  }
  return answer;
}

Answer read(std::string_view text) {
  return read(text, text.size(), text.size());
}

// Where the text is all there is.
Answer read_closed(std::string_view text) {
  ResponseReader reader;
  EXPECT_TRUE(reader.feed(bytes_of(text)).has_value());
  Answer answer;
  answer.complete = reader.finish().value_or(false);
  answer.head = reader.head();
  const ByteSpan body = reader.body();
  answer.body.assign(body.begin(), body.end());
  return answer;
}

TEST(Response, IcyWithOneOrTwoLineEnds) {
  for (const std::string_view head :
       {"ICY 200 OK\r\n",
        "ICY 200 OK\r\n\r\n",
        "ICY 200 OK\n",
        "icy 200 ok\n\n",
        "ICY 200 OK\r\nServer: x\r\nDate: today\r\n\r\n",
        "ICY 200 OK\nServer: x\n"}) {
    const Answer a = read(std::string(head) + "\xD3\x01raw\r\n");
    EXPECT_TRUE(a.complete) << head;
    EXPECT_EQ(a.head.kind, ResponseKind::kStream);
    EXPECT_EQ(a.head.version, 1);
    EXPECT_EQ(a.head.status, 200);
    EXPECT_FALSE(a.head.chunked);
    EXPECT_EQ(a.body, "\xD3\x01raw\r\n") << head;
  }
}

TEST(Response, IcyFollowedByTextThatIsNoHeader) {
  EXPECT_EQ(read("ICY 200 OK\r\n$GPGGA,1:2\r\n").body, "$GPGGA,1:2\r\n");
  EXPECT_EQ(read("ICY 200 OK\r\nabc\r\n\r\n").body, "abc\r\n\r\n");
  EXPECT_EQ(read("ICY 200 OK\r\nab: c\x80\r\n").body, "ab: c\x80\r\n");
  EXPECT_EQ(read("ICY 200 OK\r\n: c\r\n").body, ": c\r\n");
  const std::string letters(70, 'a');
  EXPECT_EQ(read("ICY 200 OK\r\n" + letters).body, letters);
}

TEST(Response, Http) {
  const Answer a = read(
      "HTTP/1.1 200 OK\r\nntrip-version: Ntrip/2.0\r\nSERVER: x\r\n"
      "Content-Type:gnss/data\r\nTransfer-encoding:  Chunked \r\n\r\n4\r\n");
  EXPECT_TRUE(a.complete);
  EXPECT_EQ(a.head.kind, ResponseKind::kStream);
  EXPECT_EQ(a.head.version, 2);
  EXPECT_TRUE(a.head.chunked);
  EXPECT_EQ(a.head.content_type, "gnss/data");
  EXPECT_EQ(a.body, "4\r\n");
}

TEST(Response, LineFeedsAlone) {
  const Answer a =
      read("HTTP/1.0 200 OK\nContent-Length: 12\nno header\n folded\n\nbody");
  EXPECT_TRUE(a.complete);
  EXPECT_EQ(a.head.content_length, 12U);
  EXPECT_EQ(a.head.version, 0);
  EXPECT_EQ(a.head.kind, ResponseKind::kStream);
  EXPECT_EQ(a.body, "body");
}

TEST(Response, Tables) {
  const Answer v1 = read(
      "SOURCETABLE 200 OK\r\nServer: x\r\nContent-Type: text/plain\r\n"
      "Content-Length: 16\r\n\r\nENDSOURCETABLE\r\n");
  EXPECT_EQ(v1.head.kind, ResponseKind::kTable);
  EXPECT_EQ(v1.head.version, 1);
  EXPECT_EQ(v1.head.content_length, 16U);
  EXPECT_EQ(v1.body, "ENDSOURCETABLE\r\n");
  const Answer bare = read("SOURCETABLE 200 OK\nSTR;A;b\nENDSOURCETABLE\n");
  EXPECT_EQ(bare.head.kind, ResponseKind::kTable);
  EXPECT_EQ(bare.body, "STR;A;b\nENDSOURCETABLE\n");
  EXPECT_EQ(
      read("HTTP/1.1 200 OK\nContent-Type: gnss/sourcetable\n\n").head.kind,
      ResponseKind::kTable);
}

TEST(Response, Refusals) {
  const Answer a = read(
      "HTTP/1.0 401 Unauthorized\r\n"
      "WWW-Authenticate: Basic realm=\"/LHOL\"\r\n\r\n");
  EXPECT_EQ(a.head.kind, ResponseKind::kRefusal);
  EXPECT_EQ(a.head.status, 401);
  EXPECT_EQ(a.head.www_authenticate, "Basic realm=\"/LHOL\"");
  EXPECT_EQ(read("HTTP/1.1 503\r\n\r\n").head.status, 503);
  EXPECT_EQ(read("ICY 401 Unauthorized\r\n\r\n").head.kind,
            ResponseKind::kRefusal);
  const Answer old = read("ERROR - Bad Password\r\n");
  EXPECT_EQ(old.head.kind, ResponseKind::kRefusal);
  EXPECT_EQ(old.head.first_line, "ERROR - Bad Password");
  EXPECT_EQ(old.head.version, 1);
}

TEST(Response, ReasonInAnyLanguage) {
  EXPECT_EQ(read("HTTP/1.1 401 Non autoris\xC3\xA9\r\n\r\n").head.status, 401);
  EXPECT_EQ(read("ICY 401 \xE9\r\n\r\n").head.status, 401);
}

TEST(Response, Redirect) {
  const Answer a =
      read("HTTP/1.1 302 Found\nLocation: http://elsewhere.example/\n\n");
  EXPECT_EQ(a.head.kind, ResponseKind::kRedirect);
  EXPECT_EQ(a.head.location, "http://elsewhere.example/");
}

TEST(Response, WhatIsNoCaster) {
  const Answer web = read("HTTP/1.1 200 OK\nContent-Type: text/html\n\n<p>");
  EXPECT_EQ(web.head.kind, ResponseKind::kUnknown);
  const Answer shell = read("SSH-2.0-x\r\nmore");
  EXPECT_EQ(shell.head.kind, ResponseKind::kUnknown);
  EXPECT_EQ(shell.head.first_line, "SSH-2.0-x");
  EXPECT_EQ(shell.body, "SSH-2.0-x\r\nmore");
  const Answer raw = read("\xD3\x13");
  EXPECT_TRUE(raw.complete);
  EXPECT_EQ(raw.head.kind, ResponseKind::kUnknown);
  EXPECT_EQ(raw.body, "\xD3\x13");
  for (const std::string_view line : {"HTTP/2 200",
                                      "HTTP/1.1 20",
                                      "HTTP/1.1 2000",
                                      "ICY",
                                      "HTTP/1.1 299 x"}) {
    EXPECT_EQ(read(std::string(line) + "\r\n\r\n").head.kind,
              ResponseKind::kUnknown)
        << line;
  }
}

TEST(Response, InterimAnswersAreSkipped) {
  const Answer a = read(
      "HTTP/1.1 100 Continue\r\nContent-Length: 3\r\n\r\n"
      "HTTP/1.1 200 OK\r\nContent-Type: gnss/data\r\n\r\nbody");
  EXPECT_EQ(a.head.status, 200);
  EXPECT_FALSE(a.head.content_length.has_value());
  EXPECT_EQ(a.body, "body");
}

TEST(Response, AnySplitGivesTheSame) {
  for (const std::string_view text :
       {"ICY 200 OK\r\n\r\n\xD3raw",
        "ICY 200 OK\nabcdef;\r\n",
        "ICY 200 OK\r\nServer: x\r\n\r\n\r\n",
        "HTTP/1.1 404 Not Found\r\nContent-Length: 3\r\n\r\nabc",
        "SOURCETABLE 200 OK\r\nSTR;A\r\n",
        "ERROR - Bad Password\r\nx",
        "HTTP/1.1 200 OK\nContent-Length: 1\nContent-Length: 2\n\n"}) {
    const Answer whole = read(text);
    for (std::size_t cut = 1; cut < text.size(); ++cut) {
      for (const std::size_t size : {text.size(), std::size_t{1}}) {
        const Answer a = read(text, cut, size);
        EXPECT_EQ(a.complete, whole.complete) << text << cut;
        EXPECT_EQ(a.body, whole.body) << text << cut;
        EXPECT_EQ(a.error, whole.error);
        EXPECT_EQ(a.head.kind, whole.head.kind);
        EXPECT_EQ(a.head.first_line, whole.head.first_line);
      }
    }
  }
}

TEST(Response, HeadsThatCannotBeRead) {
  EXPECT_EQ(
      read("HTTP/1.1 200 OK\nContent-Length: 1\nContent-Length: 2\n").error,
      "the caster's answer has two lengths, 1 and 2");
  EXPECT_EQ(read("HTTP/1.1 200 OK\nTransfer-Encoding: gzip, chunked\n").error,
            "the caster's answer is coded as 'gzip, chunked'; only chunked is "
            "known");
  const std::string endless =
      "HTTP/1.1 200 OK\r\n" + std::string(ResponseReader::kMaxHead, 'x');
  EXPECT_EQ(read(endless).error,
            "the head of the caster's answer is longer than 65536 bytes");
  EXPECT_EQ(read(endless, 1, 1000).error, read(endless).error);
  EXPECT_EQ(read(std::string(5000, 'a')).head.kind, ResponseKind::kUnknown);
}

TEST(Response, ClosedEarly) {
  EXPECT_FALSE(read_closed("").complete);
  const Answer cut = read_closed("ERROR - Bad Password");
  EXPECT_TRUE(cut.complete);
  EXPECT_EQ(cut.head.kind, ResponseKind::kRefusal);
  const Answer bare = read_closed("HTTP/1.0 401 Unauthorized\r\nA: b");
  EXPECT_TRUE(bare.complete);
  EXPECT_EQ(bare.head.status, 401);
  EXPECT_TRUE(bare.body.empty());
  const Answer icy = read_closed("ICY 200 OK\r\nabc");
  EXPECT_TRUE(icy.complete);
  EXPECT_EQ(icy.body, "abc");
  EXPECT_TRUE(read_closed("ICY 200 OK").body.empty());
}

TEST(Response, AnsweredWithTheFirstLine) {
  ResponseReader reader;
  EXPECT_FALSE(*reader.feed(bytes_of("ICY 200 OK\r")));
  EXPECT_FALSE(reader.answered());
  EXPECT_FALSE(*reader.feed(bytes_of("\n")));
  EXPECT_TRUE(reader.answered());
}

}  // namespace
}  // namespace stillpoint::ntrip
