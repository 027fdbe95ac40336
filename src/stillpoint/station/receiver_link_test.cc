#include "stillpoint/station/receiver_link.h"

#include <gtest/gtest.h>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

using Bytes = std::vector<std::uint8_t>;

// A source that does what the test says.
struct Source {
  net::SourceSink* sink = nullptr;
  int openings = 0, closings = 0;
  Bytes sent;

  void opens() { sink->on_status({net::SourceState::kOpen, {}, 0}); }
  void is_lost(const std::string& why) {
    sink->on_status(
        {net::SourceState::kWaiting, Error{ErrorCode::kIo, why, "", ""}, 1});
  }
  void gives_up(const std::string& why) {
    sink->on_status(
        {net::SourceState::kEnded, Error{ErrorCode::kConfig, why, "", ""}, 0});
  }
  void bytes(const Bytes& content) { sink->on_bytes(content); }
};

class Handle final : public net::ByteSource {
 public:
  explicit Handle(Source& source) : source_(source) {}
  void start(net::SourceSink& sink) override {
    source_.sink = &sink;
    ++source_.openings;
  }
  void stop() override { ++source_.closings; }
  Status send(ByteSpan bytes) override {
    source_.sent.insert(source_.sent.end(), bytes.begin(), bytes.end());
    return ok();
  }

 private:
  Source& source_;
};

class Nobody final : public ntrip::FrameSink {
  void on_chunk(std::string_view /*mount*/, ByteSpan /*chunk*/) override {}
};

class ReceiverLinkTest : public testing::Test {
 protected:
  void start(ReceiverOptions options = {}) {
    options.source.kind = net::SourceKind::kTcp;
    options.source.text = "tcp://receiver:1";
    options.open = [this](net::Loop&, const net::SourceAddress&)
        -> Result<std::unique_ptr<net::ByteSource>> {
      return std::make_unique<Handle>(source_);
    };
    link_ = std::make_unique<ReceiverLink>(loop_,
                                           std::move(options),
                                           raw_,
                                           clock_.clocks(),
                                           chronicle_,
                                           log_.logger());
    ASSERT_TRUE(link_->start());
    source_.opens();
  }
  void passes(double seconds) {
    for (double t = 0; t < seconds; t += 0.5) {
      clock_.advance(0.5);
      link_->tick();
    }
  }
  [[nodiscard]] ReceiverState state() const { return link_->facts().state; }

  test::HandClock clock_;
  test::LogLines log_;
  std::unique_ptr<FileSystem> files_ = archive::posix_file_system();
  Chronicle chronicle_{{}, clock_.clocks(), log_.logger()};
  Recording recording_{
      *files_, {}, {}, clock_.clocks(), chronicle_, log_.logger()};
  ByteQueue decode_{1000};
  Nobody rovers_;
  RawPath raw_{{}, rovers_, recording_, decode_, clock_.clocks()};
  net::Loop loop_;
  Source source_;
  std::unique_ptr<ReceiverLink> link_;
};

TEST_F(ReceiverLinkTest, SilenceIsToldOnceAndTheSourceOpenedLessAndLessOften) {
  start();
  source_.bytes({1});
  EXPECT_EQ(state(), ReceiverState::kOpen);
  passes(9.5);
  EXPECT_EQ(state(), ReceiverState::kOpen);
  passes(1);
  EXPECT_EQ(state(), ReceiverState::kSilent);
  EXPECT_EQ(source_.openings, 2);
  EXPECT_EQ(source_.closings, 1);
  source_.opens();
  passes(15);
  EXPECT_EQ(source_.openings, 2);
  passes(6);
  EXPECT_EQ(source_.openings, 3);
  EXPECT_EQ(chronicle_.facts().entries_waiting, 1U);  // source_silent
  source_.bytes({2});
  EXPECT_EQ(state(), ReceiverState::kOpen);
  EXPECT_EQ(chronicle_.facts().entries_waiting, 3U);  // gap, source_back
}

TEST_F(ReceiverLinkTest, AReceiverThatNeverSpokeIsSilentToo) {
  start();
  passes(11);
  EXPECT_EQ(state(), ReceiverState::kSilent);
  EXPECT_FALSE(link_->facts().last_byte);
}

TEST_F(ReceiverLinkTest, ALossIsAGapWithItsCause) {
  start();
  source_.bytes({1});
  source_.is_lost("unplugged");
  EXPECT_EQ(state(), ReceiverState::kWaiting);
  EXPECT_NE(link_->facts().why.find("unplugged"), std::string::npos);
  EXPECT_EQ(chronicle_.facts().entries_waiting, 0U);
  source_.opens();
  source_.bytes({2});
  EXPECT_EQ(chronicle_.facts().entries_waiting, 1U);
  EXPECT_EQ(log_.count("cause=unplugged"), 1);
}

TEST_F(ReceiverLinkTest, AReasonIsLoggedOnceHoweverOftenItIsTried) {
  start();
  for (int i = 0; i < 5; ++i) {
    source_.is_lost("refused");
  }
  EXPECT_EQ(log_.count("the source is lost or not there"), 1);
}

TEST_F(ReceiverLinkTest, WhatGaveUpIsLookedAtAgainAfterAMinute) {
  start();
  source_.gives_up("wrong password");
  EXPECT_EQ(state(), ReceiverState::kWaiting);
  passes(59);
  EXPECT_EQ(source_.openings, 1);
  passes(2);
  EXPECT_EQ(source_.openings, 2);
}

TEST_F(ReceiverLinkTest, TheEndOfARecordingIsNoSilence) {
  start();
  source_.bytes({1});
  source_.sink->on_status({net::SourceState::kEnded, {}, 0});
  passes(100);
  EXPECT_EQ(state(), ReceiverState::kEnded);
  EXPECT_EQ(source_.openings, 1);
}

TEST_F(ReceiverLinkTest, TheProfileIsSentAtEachOpening) {
  ReceiverOptions options;
  auto profile = profile::parse_profile(
      "name = \"p\"\n[[step]]\nname = \"on\"\n"
      "text = \"ON\"\n",
      "p.toml");
  ASSERT_TRUE(profile) << profile.error().text();
  options.profile = std::move(*profile);
  start(std::move(options));
  const Bytes once = source_.sent;
  EXPECT_EQ(std::string(once.begin(), once.begin() + 2), "ON");
  source_.bytes({1});
  source_.is_lost("unplugged");
  source_.opens();
  EXPECT_EQ(source_.sent.size(), 2 * once.size());
  passes(1);
  EXPECT_EQ(link_->facts().start_up, profile::StartUpState::kDone);
}

}  // namespace
}  // namespace stillpoint::station
