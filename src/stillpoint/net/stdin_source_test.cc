#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <string>

#include "stillpoint/net/net_test_support.h"

namespace stillpoint::net {
namespace {

using test::Recorder;
using test::run_until;

// Puts a descriptor in the place of standard input for one test.
class StdinSource : public testing::Test {
 protected:
  void SetUp() override { saved_ = dup(STDIN_FILENO); }
  void TearDown() override {
    dup2(saved_, STDIN_FILENO);
    close(saved_);
  }
  static void put_in_place(int descriptor) {
    ASSERT_GE(descriptor, 0);
    ASSERT_EQ(dup2(descriptor, STDIN_FILENO), STDIN_FILENO);
    close(descriptor);
  }
  void start() {
    auto address = parse_source("-");
    ASSERT_TRUE(address);
    auto source = open_source(loop_, *address, {});
    ASSERT_TRUE(source);
    source_ = std::move(*source);
    source_->start(sink_);
  }
  bool run_to_end() {
    return run_until(loop_, [&] { return sink_.is(SourceState::kEnded); });
  }

  int saved_ = -1;
  Loop loop_;
  test::TempDir dir_;
  Recorder sink_;
  std::unique_ptr<ByteSource> source_;
};

TEST_F(StdinSource, PipeComesAsItIsWrittenAndEnds) {
  std::array<int, 2> ends{};
  ASSERT_EQ(pipe(ends.data()), 0);
  put_in_place(ends[0]);
  start();
  ASSERT_EQ(write(ends[1], "one", 3), 3);
  ASSERT_TRUE(run_until(loop_, [&] { return sink_.bytes == "one"; }));
  EXPECT_TRUE(sink_.is(SourceState::kOpen));
  ASSERT_EQ(write(ends[1], "two", 3), 3);
  close(ends[1]);
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.bytes, "onetwo");
  EXPECT_FALSE(sink_.states.back().why);
  EXPECT_EQ(fcntl(STDIN_FILENO, F_GETFL) & O_NONBLOCK, 0)
      << "others share what is open";
}

TEST_F(StdinSource, PipeWrittenAndClosedBeforeTheStartIsReadWhole) {
  std::array<int, 2> ends{};
  ASSERT_EQ(pipe(ends.data()), 0);
  put_in_place(ends[0]);
  ASSERT_EQ(write(ends[1], "all", 3), 3);
  close(ends[1]);
  start();
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.bytes, "all");
}

TEST_F(StdinSource, FileIsReadFromWhereItStands) {
  const int file = open(dir_.file("a", "0123456789").c_str(), O_RDONLY);
  ASSERT_EQ(lseek(file, 4, SEEK_SET), 4);
  put_in_place(file);
  start();
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.bytes, "456789");
  EXPECT_FALSE(sink_.states.back().why);
}

TEST_F(StdinSource, SocketIsReadAndItsModePutBack) {
  std::array<int, 2> ends{};
  ASSERT_EQ(socketpair(AF_UNIX, SOCK_STREAM, 0, ends.data()), 0);
  put_in_place(ends[0]);
  start();
  ASSERT_EQ(write(ends[1], "sock", 4), 4);
  ASSERT_TRUE(run_until(loop_, [&] { return sink_.bytes == "sock"; }));
  close(ends[1]);
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(fcntl(STDIN_FILENO, F_GETFL) & O_NONBLOCK, 0);
}

TEST_F(StdinSource, NothingThereEndsAtOnceAndNothingCanBeSent) {
  put_in_place(open("/dev/null", O_RDONLY));
  start();
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.bytes, "");
  EXPECT_EQ(source_->send(test::bytes_of("x")).error().code,
            ErrorCode::kUnsupported);
}

TEST_F(StdinSource, ClosedInputIsAnErrorNotAWait) {
  close(STDIN_FILENO);
  start();
  ASSERT_TRUE(run_to_end());
  EXPECT_EQ(sink_.why().code, ErrorCode::kIo);
}

}  // namespace
}  // namespace stillpoint::net
