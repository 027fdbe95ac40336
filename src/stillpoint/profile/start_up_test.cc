// The exchange, step by step, on a clock of the test's.
#include "stillpoint/profile/start_up.h"

#include <algorithm>
#include <array>
#include <sstream>
#include <utility>

#include "stillpoint/profile/profile_test_support.h"

namespace stillpoint::profile {
namespace {

using test::Bytes;
using test::from_hex;
using test::from_text;
using test::joined;
using test::profile_of;

// A start-up, what it sent and what it told: "0.0 sent rate 1;".
class Exchange {
 public:
  explicit Exchange(const std::string& toml, const StationValues& values = {})
      : start_up(profile_of(toml),
                 values,
                 {.send = [this](ByteSpan bytes) -> Status {
                    if (broken) {
                      return fail(ErrorCode::kIo, "not open", "port");
                    }
                    sent += std::string(bytes.begin(), bytes.end());
                    return ok();
                  },
                  .on_event = [this](const StepEvent& e) { note(e); }}) {}

  void hear(std::string_view text, double at_s) {
    start_up.on_bytes(from_text(text), at_s);
  }
  [[nodiscard]] StepOutcome outcome(std::size_t step) const {
    return start_up.reports()[step].outcome;
  }
  // What is told since the last call.
  std::string told() { return std::exchange(told_, {}); }

  std::string sent;
  bool broken = false;
  StartUp start_up;

 private:
  void note(const StepEvent& event) {
    constexpr std::array kWords = {
        "sent", "answered", "refused", "timed out", "skipped", "not sent"};
    std::ostringstream text;
    text << event.at_s << " " << kWords[static_cast<std::size_t>(event.kind)]
         << " " << start_up.profile().steps[event.step].name << " "
         << event.try_number << ";";
    told_ += text.str();
  }
  std::string told_;
};

std::string step(const std::string& name, const std::string& more = {}) {
  return "[[step]]\nname = '" + name + "'\ntext = '" + name +
         "'\nline_end = 'lf'\n" + more;
}
std::string asking(const std::string& name, const std::string& more = {}) {
  return step(name,
              "reply = 'OK " + name +
                  "'\nrefusal = 'NO'\ntries = 3\n"
                  "reply_within_s = 2\n" +
                  more);
}

TEST(StartUp, StepsAreSentOneAfterTheOtherAsTheyAreAnswered) {
  Exchange x(asking("a") + asking("b"));
  EXPECT_EQ(x.start_up.state(), StartUpState::kIdle);
  EXPECT_EQ(x.outcome(0), StepOutcome::kNotReached);
  x.hear("OK a\n", 5);
  EXPECT_EQ(x.sent, "") << "nothing before begin";
  x.start_up.begin(10);
  EXPECT_EQ(x.sent, "a\n");
  EXPECT_EQ(x.start_up.next_due_s(), 12);
  EXPECT_EQ(x.outcome(0), StepOutcome::kUnderWay);
  x.hear("OK a then\n", 10.5);
  EXPECT_EQ(x.sent, "a\nb\n");
  EXPECT_EQ(x.start_up.next_due_s(), 12.5);
  EXPECT_EQ(x.start_up.state(), StartUpState::kRunning);
  x.hear("OK b\n", 11);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
  EXPECT_EQ(x.start_up.next_due_s(), std::nullopt);
  EXPECT_EQ(x.told(),
            "10 sent a 1;10.5 answered a 1;10.5 sent b 1;11 answered b 1;");
  const StepReport& report = x.start_up.reports()[0];
  EXPECT_EQ(report.outcome, StepOutcome::kAnswered);
  EXPECT_EQ(report.tries, 1U);
  EXPECT_EQ(report.first_sent_s, 10);
  EXPECT_EQ(report.ended_s, 10.5);
  EXPECT_EQ(test::text_of(report.sent), "a\n");
  EXPECT_EQ(test::text_of(report.answer), "OK a then");
}

TEST(StartUp, WithoutStepsItIsDoneAtOnce) {
  Exchange x("");
  x.start_up.begin(0);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
  EXPECT_FALSE(x.start_up.waits_for_values());
}

TEST(StartUp, AStepWithoutReplyIsSentAndLeft) {
  Exchange x(step("a") + step("b"));
  x.start_up.begin(0);
  EXPECT_EQ(x.sent, "a\nb\n");
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
  EXPECT_EQ(x.outcome(0), StepOutcome::kSent);
}

TEST(StartUp, SilenceIsTriedAgainAndThenFails) {
  Exchange x(asking("a") + asking("b"));
  x.start_up.begin(0);
  x.start_up.tick(1.9);
  EXPECT_EQ(x.sent, "a\n");
  x.start_up.tick(2);
  EXPECT_EQ(x.sent, "a\na\n");
  EXPECT_EQ(x.start_up.next_due_s(), 4) << "from the time of the tick on";
  x.hear("hm", 3);  // during the second try, and the third
  x.start_up.tick(4.5);
  EXPECT_EQ(x.start_up.next_due_s(), 6.5);
  x.hear("?\n", 5);
  x.start_up.tick(7);
  EXPECT_EQ(x.sent, "a\na\na\n");
  EXPECT_EQ(x.start_up.state(), StartUpState::kFailed);
  EXPECT_EQ(x.start_up.next_due_s(), std::nullopt);
  EXPECT_EQ(x.told(),
            "0 sent a 1;2 timed out a 1;2 sent a 2;4.5 timed out a 2;"
            "4.5 sent a 3;7 timed out a 3;");
  const StepReport& report = x.start_up.reports()[0];
  EXPECT_EQ(report.outcome, StepOutcome::kNoAnswer);
  EXPECT_EQ(report.tries, 3U);
  EXPECT_EQ(report.first_sent_s, 0);
  EXPECT_EQ(report.ended_s, 7);
  EXPECT_EQ(test::text_of(report.other), "hm?\n");
  EXPECT_EQ(x.outcome(1), StepOutcome::kNotReached);
  x.hear("OK a\n", 8);
  x.start_up.tick(100);
  EXPECT_EQ(x.sent, "a\na\na\n");
}

TEST(StartUp, ALateTryMayBeAnswered) {
  Exchange x(asking("a"));
  x.start_up.begin(0);
  x.start_up.tick(2);
  x.hear("OK a\n", 2.5);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
  EXPECT_EQ(x.start_up.reports()[0].tries, 2U);
  EXPECT_TRUE(x.start_up.reports()[0].other.empty());
}

TEST(StartUp, ARefusalIsNotTriedAgain) {
  Exchange x(asking("a") + asking("b"));
  x.start_up.begin(0);
  x.hear("NO, a\n", 1);
  EXPECT_EQ(x.start_up.state(), StartUpState::kFailed);
  EXPECT_EQ(x.outcome(0), StepOutcome::kRefused);
  EXPECT_EQ(test::text_of(x.start_up.reports()[0].answer), "NO, a");
  x.start_up.tick(10);
  EXPECT_EQ(x.sent, "a\n");
  EXPECT_EQ(x.told(), "0 sent a 1;1 refused a 1;");
}

TEST(StartUp, TheFailureOfAnOptionalStepGoesOn) {
  for (const bool refuse : {true, false}) {
    Exchange x(asking("a", "optional = true\npause_s = 1\n") + asking("b"));
    x.start_up.begin(0);
    if (refuse) {
      x.hear("NO\n", 6);
    } else {
      for (const double at_s : {2, 4, 6}) {
        x.start_up.tick(at_s);
      }
    }
    EXPECT_EQ(x.start_up.next_due_s(), 7) << "its pause";
    x.start_up.tick(7);
    x.hear("OK b\n", 8);
    EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
    EXPECT_EQ(x.outcome(0),
              refuse ? StepOutcome::kRefused : StepOutcome::kNoAnswer);
  }
}

TEST(StartUp, APauseDelaysTheNextStepAndTheEnd) {
  Exchange x(step("a", "pause_s = 0.5\n") + asking("b", "pause_s = 1\n"));
  x.start_up.begin(0);
  EXPECT_EQ(x.sent, "a\n");
  EXPECT_EQ(x.start_up.next_due_s(), 0.5);
  x.hear("OK b\n", 0.2);  // an answer to nothing
  x.start_up.tick(0.4);
  EXPECT_EQ(x.sent, "a\n");
  x.start_up.tick(0.5);
  EXPECT_EQ(x.sent, "a\nb\n");
  x.hear("OK b\n", 1);
  EXPECT_EQ(x.start_up.state(), StartUpState::kRunning);
  x.start_up.tick(2);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
}

TEST(StartUp, AnAnswerThatComesTwiceCountsOnce) {
  Exchange x(asking("a", "pause_s = 1\n") + asking("b"));
  x.start_up.begin(0);
  x.hear("OK a\nOK a then\nNO\n", 1);
  EXPECT_EQ(x.told(), "0 sent a 1;1 answered a 1;");
  EXPECT_EQ(x.start_up.next_due_s(), 2);
  EXPECT_EQ(test::text_of(x.start_up.reports()[0].answer), "OK a");
}

TEST(StartUp, AStepWithoutItsValueIsSkippedUntilThereIsOne) {
  Exchange x(step("a") +
             "[[step]]\nname = 'p'\ntext = 'P {x_m:.1}'\nreply = 'OK'\n");
  x.start_up.begin(0);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
  EXPECT_TRUE(x.start_up.waits_for_values());
  EXPECT_EQ(x.outcome(1), StepOutcome::kSkipped);
  EXPECT_EQ(x.start_up.reports()[1].missing, (std::vector<std::string>{"x_m"}));
  EXPECT_EQ(x.told(), "0 sent a 1;0 skipped p 0;");
  x.start_up.use({.x_m = 1.25});
  x.start_up.begin(5);
  EXPECT_FALSE(x.start_up.waits_for_values());
  EXPECT_EQ(x.sent, "a\na\nP 1.2\r\n");
  x.hear("OK\n", 6);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
}

TEST(StartUp, AValueThatDoesNotFitIsAFailureAtItsPlace) {
  for (const bool optional : {true, false}) {
    Exchange x("[[step]]\nname = 'p'\nhex = '{x_m:scale=10000,i32le}'\n" +
                   std::string(optional ? "optional = true\n" : "") + step("b"),
               {.x_m = 4279402.4});
    x.start_up.begin(0);
    EXPECT_EQ(x.start_up.state(),
              optional ? StartUpState::kDone : StartUpState::kFailed);
    EXPECT_EQ(x.outcome(0), StepOutcome::kNotSent);
    ASSERT_TRUE(x.start_up.reports()[0].error);
    EXPECT_EQ(x.start_up.reports()[0].error->where, "p.toml:1:1");
    EXPECT_EQ(x.sent, optional ? "b\n" : "");
    EXPECT_EQ(x.start_up.reports()[0].tries, 0U);
  }
}

TEST(StartUp, BytesThatCannotBeSentAreTriedAgainToo) {
  Exchange x(asking("a"));
  x.broken = true;
  x.start_up.begin(0);
  EXPECT_EQ(x.start_up.state(), StartUpState::kRunning);
  x.start_up.tick(2);
  x.broken = false;
  x.start_up.tick(4);
  EXPECT_EQ(x.sent, "a\n");
  EXPECT_EQ(x.start_up.reports()[0].first_sent_s, 4);
  EXPECT_FALSE(x.start_up.reports()[0].error);
  x.hear("OK a\n", 5);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
  EXPECT_EQ(x.told(),
            "0 not sent a 1;2 not sent a 2;4 sent a 3;5 answered a 3;");
}

TEST(StartUp, BytesThatCanNeverBeSentAreAFailure) {
  for (const std::string& toml : {asking("a"), step("a")}) {
    Exchange x(toml);
    x.broken = true;
    x.start_up.begin(0);
    for (const double at_s : {2, 4, 6}) {
      x.start_up.tick(at_s);
    }
    EXPECT_EQ(x.start_up.state(), StartUpState::kFailed);
    EXPECT_EQ(x.outcome(0), StepOutcome::kNotSent);
    EXPECT_EQ(x.start_up.reports()[0].error->what, "not open");
  }
}

TEST(StartUp, BeginsAfreshAfterAReconnect) {
  Exchange x(asking("a") + asking("b"));
  x.start_up.begin(0);
  x.hear("OK a\nOK ", 1);
  x.start_up.begin(2);  // half a line, and then the connection was lost
  EXPECT_EQ(x.sent, "a\nb\na\n");
  EXPECT_EQ(x.outcome(1), StepOutcome::kNotReached);
  x.hear("a\n", 3);
  EXPECT_EQ(x.outcome(0), StepOutcome::kUnderWay);
  x.hear("OK a\nOK b\n", 3);
  EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
  Exchange failed(asking("a"));
  failed.start_up.begin(0);
  failed.hear("NO\n", 1);
  failed.start_up.begin(2);
  failed.hear("OK a\n", 3);
  EXPECT_EQ(failed.start_up.state(), StartUpState::kDone);
  EXPECT_EQ(failed.outcome(0), StepOutcome::kAnswered);
}

TEST(StartUp, TheLastLookAnswersWhenTheTimeIsOver) {
  Exchange x(asking("a") + asking("b"));
  x.start_up.begin(0);
  x.hear("OK a>", 1);  // no line end
  EXPECT_EQ(x.outcome(0), StepOutcome::kUnderWay);
  x.start_up.tick(2);
  EXPECT_EQ(x.outcome(0), StepOutcome::kAnswered);
  EXPECT_EQ(x.sent, "a\nb\n");
  EXPECT_EQ(x.start_up.next_due_s(), 4);
  EXPECT_EQ(x.outcome(1), StepOutcome::kUnderWay);
  Exchange paused(asking("a", "pause_s = 3\n"));
  paused.start_up.begin(0);
  paused.hear("OK a>", 1);
  paused.start_up.tick(2);
  EXPECT_EQ(paused.outcome(0), StepOutcome::kAnswered);
  EXPECT_EQ(paused.start_up.next_due_s(), 5);
  Exchange refused(asking("a"));
  refused.start_up.begin(0);
  refused.hear("NO>", 1);
  refused.start_up.tick(2);
  EXPECT_EQ(refused.start_up.state(), StartUpState::kFailed);
  EXPECT_EQ(refused.sent, "a\n");
}

// kind: definition   an answer is one wherever it is cut
TEST(StartUp, AnySplitOfTheBytesGivesTheSameExchange) {
  const std::string toml =
      std::string(test::kDemoFraming) + asking("a") +
      "[[step]]\nname = 'b'\nframing = 'SPDEMO'\n"
      "hex = '9EC4 1000 {length} E803'\nreply_hex = '9EC4 01 ?? 03'\n" +
      asking("c", "optional = true\n") +
      "[[step]]\nname = 'd'\nhex = 'A1'\nreply_hex = 'AA ?? CC'\n";
  const Bytes stream = joined({test::rtcm_1005(),
                               from_text("OK a\r\n"),
                               test::rtcm_1005(),
                               test::sentence("GNGGA,1"),
                               from_hex("9EC4 01 00 0300 AABBCC 448FB73D"),
                               test::garbage(50, 3),
                               from_text("\nNO\r\n"),
                               test::rtcm_1005(),
                               from_hex("AABBCC"),
                               test::rtcm_1005()});
  const auto run = [&](const std::vector<std::size_t>& cuts) {
    Exchange x(toml);
    x.start_up.begin(0);
    std::size_t from = 0;
    for (std::size_t cut : cuts) {
      cut = std::min(cut, stream.size());
      const Bytes piece(stream.begin() + static_cast<std::ptrdiff_t>(from),
                        stream.begin() + static_cast<std::ptrdiff_t>(cut));
      x.start_up.on_bytes(piece, 1);
      from = cut;
    }
    x.start_up.on_bytes(
        Bytes(stream.begin() + static_cast<std::ptrdiff_t>(from), stream.end()),
        1);
    EXPECT_EQ(x.start_up.state(), StartUpState::kDone);
    return x.told() + x.sent;
  };
  const std::string whole = run({});
  EXPECT_NE(whole.find("1 refused c 1;1 sent d 1;1 answered d 1;"),
            std::string::npos)
      << whole;
  for (std::size_t cut = 0; cut <= stream.size(); ++cut) {
    EXPECT_EQ(run({cut}), whole) << cut;
  }
  for (std::uint32_t seed = 1; seed <= 50; ++seed) {
    EXPECT_EQ(run(test::random_cuts(stream.size(), 1 + seed % 20, seed)), whole)
        << seed;
  }
}

TEST(StartUp, OutcomesHaveWords) {
  EXPECT_STREQ(outcome_word(StepOutcome::kNotReached), "not_reached");
  EXPECT_STREQ(outcome_word(StepOutcome::kNoAnswer), "no_answer");
  EXPECT_STREQ(outcome_word(StepOutcome::kNotSent), "not_sent");
}

}  // namespace
}  // namespace stillpoint::profile
