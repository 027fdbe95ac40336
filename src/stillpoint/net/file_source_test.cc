#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>
#include <string>

#include "stillpoint/net/net_test_support.h"

namespace stillpoint::net {
namespace {

using test::Recorder;
using test::run_ready;
using test::run_until;

constexpr std::size_t kPiece = 65536;

// Bytes that show where they come from.
std::string counted(std::size_t size) {
  std::string bytes(size, '\0');
  for (std::size_t i = 0; i < size; ++i) {
    bytes[i] = static_cast<char>((i * 7 + i / 256) % 251);
  }
  return bytes;
}

class FileSource : public testing::Test {
 protected:
  std::unique_ptr<ByteSource> open(const std::string& path,
                                   const std::string& query = "") {
    auto address = parse_source("file:" + path + query);
    EXPECT_TRUE(address);
    auto source = open_source(loop_, *address, options_);
    EXPECT_TRUE(source);
    return std::move(*source);
  }
  bool run_to_end() {
    return run_until(loop_, [&] { return sink_.is(SourceState::kEnded); });
  }

  Loop loop_;
  test::TempDir dir_;
  Recorder sink_;
  SourceOptions options_;
};

TEST_F(FileSource, AtFullSpeedComesInPiecesToItsEnd) {
  const auto bytes = counted(2 * kPiece + 1);
  const auto source = open(dir_.file("a", bytes));
  source->start(sink_);
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.bytes, bytes);
  EXPECT_EQ(sink_.pieces, (std::vector<std::size_t>{kPiece, kPiece, 1}));
  EXPECT_FALSE(sink_.states.back().why);
  EXPECT_EQ(sink_.times(SourceState::kOpening), 1U);
  EXPECT_EQ(sink_.times(SourceState::kOpen), 1U);
}

TEST_F(FileSource, StopsBetweenPiecesAndSaysNothingMore) {
  const auto source = open(dir_.file("a", counted(5 * kPiece)));
  sink_.then = [&] { source->stop(); };
  source->start(sink_);
  ASSERT_TRUE(run_until(loop_, [&] { return !sink_.bytes.empty(); }));
  run_ready(loop_);
  EXPECT_EQ(sink_.bytes.size(), kPiece);
  EXPECT_TRUE(sink_.is(SourceState::kOpen));
}

TEST_F(FileSource, EmptyFileEndsWithoutABite) {
  const auto source = open(dir_.file("a", ""));
  source->start(sink_);
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.bytes, "");
  EXPECT_FALSE(sink_.states.back().why);
}

TEST_F(FileSource, MissingFileAndFolderEndItThoughItMayReconnect) {
  for (const auto& path : {dir_.path("none"), dir_.path("")}) {
    Recorder sink;
    const auto source = open(path);
    source->start(sink);
    ASSERT_TRUE(run_until(loop_, [&] { return sink.is(SourceState::kEnded); }));
    EXPECT_EQ(sink.why().code, ErrorCode::kIo);
    EXPECT_EQ(sink.why().where, path);
    EXPECT_EQ(sink.times(SourceState::kWaiting), 0U);
  }
}

TEST_F(FileSource, ReadsThroughTheOpenerAndHandsItsErrorOn) {
  std::string asked;
  auto reads = std::make_shared<int>(0);
  options_.open_file = [&](const std::string& path) -> Result<FileReader> {
    asked = path;
    return [reads](std::span<char> into) -> Result<std::size_t> {
      if (++*reads == 3) {
        return fail(ErrorCode::kBadFormat, "damaged", "a.gz");
      }
      into[0] = 'x';
      return std::size_t{1};
    };
  };
  const auto source = open("a.gz");
  source->start(sink_);
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(asked, "a.gz");
  EXPECT_EQ(sink_.why().code, ErrorCode::kBadFormat);
}

// Steps of ten bytes, due at the times given.
class FakePacer final : public Pacer {
 public:
  explicit FakePacer(std::vector<double> due_s) : due_s_(std::move(due_s)) {}
  Step next(ByteSpan ahead, bool all) override {
    seen.push_back(ahead.size());
    last = all;
    const auto at = std::min(seen.size(), due_s_.size()) - 1;
    return {std::min<std::size_t>(10, ahead.size()), due_s_[at]};
  }
  std::vector<std::size_t> seen;
  bool last = false;

 private:
  std::vector<double> due_s_;
};

TEST_F(FileSource, PacedStepsComeOneByOneAndInOrder) {
  const auto pacer =
      std::make_shared<FakePacer>(std::vector<double>{0, 1, 2, -5, 3});
  options_.pacer = pacer;
  const auto bytes = counted(45);
  const auto source = open(dir_.file("a", bytes), "?speed=1000");
  source->start(sink_);
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.bytes, bytes);
  EXPECT_EQ(sink_.pieces, (std::vector<std::size_t>{10, 10, 10, 10, 5}));
  EXPECT_EQ(pacer->seen, (std::vector<std::size_t>{45, 35, 25, 15, 5}));
  EXPECT_TRUE(pacer->last);
}

TEST_F(FileSource, PacerSeesAFullWindowUntilTheFileEnds) {
  const auto pacer = std::make_shared<FakePacer>(std::vector<double>{0});
  options_.pacer = pacer;
  const auto source = open(dir_.file("a", counted(kPiece + 20)), "?speed=1");
  sink_.then = [&] {
    if (sink_.pieces.size() == 3) {
      source->stop();
    }
  };
  source->start(sink_);
  ASSERT_TRUE(run_until(loop_, [&] { return sink_.pieces.size() == 3; }));
  EXPECT_EQ(pacer->seen, (std::vector<std::size_t>{kPiece, kPiece, kPiece}));
}

TEST_F(FileSource, WhatIsNotDueDoesNotCome) {
  options_.pacer = std::make_shared<FakePacer>(std::vector<double>{0, 1e9});
  const auto source = open(dir_.file("a", counted(100)), "?speed=1");
  source->start(sink_);
  ASSERT_TRUE(run_until(loop_, [&] { return sink_.pieces.size() == 1; }));
  run_ready(loop_);
  EXPECT_EQ(sink_.bytes.size(), 10U);
  EXPECT_TRUE(sink_.is(SourceState::kOpen));
}

TEST_F(FileSource, SpeedWithoutAPacerIsRefusedAndBytesAreNotTaken) {
  auto address = parse_source("file:a?speed=1");
  ASSERT_TRUE(address);
  auto refused = open_source(loop_, *address, options_);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::kUsage);
  const auto source = open(dir_.file("a", "x"));
  EXPECT_EQ(source->send(test::bytes_of("x")).error().code,
            ErrorCode::kUnsupported);
}

}  // namespace
}  // namespace stillpoint::net
