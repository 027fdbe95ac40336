// What counts as a reply in a stream that goes on.
#include "stillpoint/profile/reply_watch.h"

#include "stillpoint/profile/profile_test_support.h"

namespace stillpoint::profile {
namespace {

using test::Bytes;
using test::from_hex;
using test::from_text;
using test::joined;

ReplyPattern line(const char* begin) {
  return {begin, {}};
}

ReplyPattern pattern(std::vector<std::optional<std::uint8_t>> bytes) {
  return {{}, std::move(bytes)};
}

std::vector<MakerFraming> demo_framing() {
  return test::profile_of(test::kDemoFraming).framings;
}

// What is found for two patterns: "+answer" or "-refusal", in pieces of a size.
class Watched {
 public:
  Watched(ReplyPattern reply,
          ReplyPattern refusal,
          std::vector<MakerFraming> framings = demo_framing())
      : reply_(std::move(reply)),
        refusal_(std::move(refusal)),
        watch_(std::move(framings), [this](bool is_refusal, ByteSpan answer) {
          found += (is_refusal ? "-" : "+") +
                   std::string(answer.begin(), answer.end()) + ";";
        }) {
    watch_.expect(reply_, refusal_);
  }

  void push(const Bytes& bytes, std::size_t piece = 1) {
    for (std::size_t at = 0; at < bytes.size(); at += piece) {
      const std::size_t end = std::min(bytes.size(), at + piece);
      // A copy of its own: a look beyond it is found by the sanitizer.
      watch_.push(Bytes(bytes.begin() + static_cast<std::ptrdiff_t>(at),
                        bytes.begin() + static_cast<std::ptrdiff_t>(end)));
    }
  }
  ReplyWatch& watch() { return watch_; }
  [[nodiscard]] Bytes other() const { return watch_.other(); }

  std::string found;

 private:
  ReplyPattern reply_, refusal_;
  ReplyWatch watch_;
};

// The same whatever the pieces.
std::string found_in(const Bytes& stream,
                     const ReplyPattern& reply,
                     const ReplyPattern& refusal = {}) {
  Watched whole(reply, refusal);
  whole.push(stream, stream.size());
  for (const std::size_t piece : {1U, 2U, 3U, 7U, 100U}) {
    Watched cut(reply, refusal);
    cut.push(stream, piece);
    EXPECT_EQ(cut.found, whole.found) << piece;
    EXPECT_EQ(cut.other(), whole.other()) << piece;
  }
  return whole.found;
}

TEST(ReplyWatch, ALineBeginsSo) {
  EXPECT_EQ(found_in(from_text("NOT OK\r\nOK then\r\n"), line("OK")),
            "+OK then;");
  EXPECT_EQ(found_in(from_text("OK\rOK\nOKAY"), line("OK")), "+OK;+OK;");
  EXPECT_EQ(found_in(from_text("ok\r\nO\r\nK\r\n"), line("OK")), "");
}

TEST(ReplyWatch, ALineMayFollowAFrameOrBytesThatAreNoText) {
  EXPECT_EQ(
      found_in(joined({test::rtcm_1005(), from_text("OK\r\n")}), line("OK")),
      "+OK;");
  EXPECT_EQ(found_in(joined({from_text("half a "),
                             test::rtcm_1005(),
                             from_text("OK\r\n")}),
                     line("OK")),
            "+OK;");
  for (const char* before : {"414281", "414200", "41421F", "41427F"}) {
    EXPECT_EQ(
        found_in(joined({from_hex(before), from_text("OK\r\n")}), line("OK")),
        "+OK;")
        << before;
  }
}

TEST(ReplyWatch, ASentenceIsALine) {
  EXPECT_EQ(
      found_in(
          joined({test::sentence("GNGGA,1"), test::sentence("PSPD,DONE,RATE")}),
          line("$PSPD,DONE")),
      "+$PSPD,DONE,RATE*" +
          test::text_of(test::sentence("PSPD,DONE,RATE")).substr(16, 2) + ";");
}

TEST(ReplyWatch, ADamagedSentenceIsNone) {
  Bytes damaged = test::sentence("PSPD,DONE,RATE");
  damaged[12] ^= 1;
  EXPECT_EQ(found_in(damaged, line("$PSPD,DONE")), "");
  // Without a checksum there is nothing to be wrong.
  EXPECT_EQ(found_in(from_text("$PSPD,DONE\r\n"), line("$PSPD,DONE")),
            "+$PSPD,DONE;");
  // Sentences that end with CR alone are told by their checksum too.
  Bytes short_end = test::sentence("PSPD,DONE,RATE");
  short_end.pop_back();
  EXPECT_EQ(
      found_in(joined({short_end, from_text("x\r\n")}), line("$PSPD,DONE"))
          .substr(0, 11),
      "+$PSPD,DONE");
}

TEST(ReplyWatch, WhatLiesInsideARtcmFrameIsNone) {
  const Bytes frame = test::rtcm_frame(
      joined({from_hex("3ED0"), from_text("\r\nOK\r\n"), from_hex("A0B0")}));
  EXPECT_EQ(found_in(frame, line("OK")), "");
  EXPECT_EQ(found_in(frame, pattern({0xA0, 0xB0})), "");
}

TEST(ReplyWatch, APacketIsBelievedWholeAndGood) {
  const ReplyPattern done = pattern({0x9E, 0xC4, 0x01, std::nullopt, 0x03});
  Bytes packet = from_hex("9EC4 01 00 0300 AABBCC 448FB73D");
  const std::string text(packet.begin(), packet.end());
  EXPECT_EQ(found_in(packet, done), "+" + text + ";");
  EXPECT_EQ(found_in(joined({from_hex("9EC4"), packet}), done),
            "+" + text + ";");
  packet.back() ^= 1;
  EXPECT_EQ(found_in(joined({packet, Bytes(300, 0)}), done), "");
}

TEST(ReplyWatch, BytesOfNoFramingAreFoundAnywhere) {
  const ReplyPattern done = pattern({0xA0, std::nullopt, 0xB0});
  EXPECT_EQ(found_in(from_hex("00 A0 11 B0 A0 B1"), done), "+\xA0\x11\xB0;");
  // A row of bytes ends at a frame.
  EXPECT_EQ(
      found_in(joined({from_hex("A011"), test::rtcm_1005(), from_hex("B0")}),
               done),
      "");
  // Found once, though its bytes fit again.
  EXPECT_EQ(found_in(from_hex("AAAA AA"), pattern({0xAA, 0xAA})), "+\xAA\xAA;");
}

TEST(ReplyWatch, TheRefusalIsAskedFirst) {
  EXPECT_EQ(found_in(from_text("NO\nOK\n"), line("OK"), line("NO")),
            "-NO;+OK;");
  EXPECT_EQ(found_in(from_text("OK NOT\n"), line("OK"), line("OK NOT")),
            "-OK NOT;");
  EXPECT_EQ(
      found_in(
          from_hex("A0A1 B0B1"), pattern({0xA0, 0xA1}), pattern({0xB0, 0xB1})),
      "+\xA0\xA1;-\xB0\xB1;");
  EXPECT_EQ(found_in(from_hex("9EC4 01 00 0300 AABBCC 448FB73D"),
                     pattern({0x9E, 0xC4, 0x02}),
                     pattern({0x9E, 0xC4, 0x01}))
                .front(),
            '-');
}

TEST(ReplyWatch, NothingIsFoundWhereNothingIsExpected) {
  Watched watched(line("OK"), line("NO"));
  watched.watch().expect_nothing();
  watched.push(from_text("OK\nNO\n"));
  EXPECT_EQ(watched.found, "");
  EXPECT_EQ(watched.other(), Bytes());
}

TEST(ReplyWatch, KeepsTheFirstBytesThatAreNothingKnown) {
  const Bytes packet = from_hex("9EC4 01 00 0300 AABBCC 448FB73D");
  Watched watched(line("OK"), line("NO"));
  watched.push(joined({test::rtcm_1005(),
                       test::sentence("GNGGA,1"),
                       from_text("hm?\n"),
                       packet,
                       test::sentence("PSPD,WHAT")}));
  Bytes expected =
      joined({from_text("hm?\n"), packet, test::sentence("PSPD,WHAT")});
  expected.resize(expected.size() - 2);  // its line end
  EXPECT_EQ(watched.other(), expected);
  watched.push(Bytes(1000, 'x'));
  EXPECT_EQ(watched.other().size(), ReplyWatch::kMostOther);
}

TEST(ReplyWatch, TheLastLookSeesWhatIsHeld) {
  // Two bytes look like the beginning of a long RTCM frame.
  Watched held(line("OK"), line("NO"));
  held.push(joined({from_hex("D303FF"), from_text("\r\nOK\r\n")}));
  EXPECT_EQ(held.found, "");
  held.watch().last_look();
  EXPECT_EQ(held.found, "+OK;");
  // A prompt has no line end.
  Watched prompt(line("ready>"), line("NO"));
  prompt.push(from_text("ready> "));
  EXPECT_EQ(prompt.found, "");
  prompt.watch().last_look();
  EXPECT_EQ(prompt.found, "+ready> ;");
  prompt.watch().last_look();
  EXPECT_EQ(prompt.found, "+ready> ;") << "once";
}

TEST(ReplyWatch, ALastLookThatFindsNothingChangesNothing) {
  const Bytes frame = test::rtcm_1005();
  const Bytes answer = test::sentence("PSPD,DONE");
  const Bytes stream = joined({frame, answer, from_text("text\r\n"), frame});
  for (std::size_t cut = 0; cut <= stream.size(); ++cut) {
    Watched watched(line("$PSPD,DONE"), line("NO"));
    const auto at = stream.begin() + static_cast<std::ptrdiff_t>(cut);
    watched.push(Bytes(stream.begin(), at), 4);
    watched.watch().last_look();
    watched.push(Bytes(at, stream.end()), 4);
    EXPECT_EQ(watched.found.substr(0, 11), "+$PSPD,DONE") << cut;
    EXPECT_EQ(std::count(watched.found.begin(), watched.found.end(), ';'), 1)
        << cut;
    // Frames that were cut by the look have not become other bytes.
    const Bytes expected = joined(
        {Bytes(answer.begin(), answer.end() - 2), from_text("text\r\n")});
    if (cut <= frame.size() || cut >= frame.size() + answer.size()) {
      EXPECT_EQ(watched.other(), expected) << cut;
    }
  }
}

TEST(ReplyWatch, HeldBytesAreShownWhereNothingElseCame) {
  Watched packet(line("OK"), line("NO"));
  packet.push(from_hex("9EC4 01 00 FF00 AA"));
  EXPECT_EQ(packet.other(), Bytes());
  packet.watch().last_look();
  EXPECT_EQ(packet.other(), from_hex("9EC4 01 00 FF00 AA"));
  Watched rtcm(line("OK"), line("NO"));
  rtcm.push(from_hex("D300133E"));
  rtcm.watch().last_look();
  EXPECT_EQ(rtcm.other(), Bytes());
}

TEST(ReplyWatch, AnEndlessLineTakesNoMemory) {
  Watched watched(line("x"), line("NO"));
  watched.push(Bytes(100'000, 'x'), 5000);
  watched.push(from_text("\n"));
  EXPECT_EQ(watched.found, "+" + std::string(512, 'x') + ";");
}

}  // namespace
}  // namespace stillpoint::profile
