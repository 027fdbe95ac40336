// The kernel's own header, which cannot stand beside <termios.h>.
#include <asm/termbits.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <filesystem>
#include <optional>
#include <string>

#include "stillpoint/net/net_errors.h"
#include "stillpoint/net/net_test_support.h"
#include "stillpoint/net/serial_posix.h"

namespace stillpoint::net {
namespace {

using test::bytes_of;
using test::Pty;
using test::Recorder;
using test::run_until;

class SerialSource : public testing::Test {
 protected:
  SerialSource() {
    options_.first_wait_s = 0.001;
    options_.longest_wait_s = 0.01;
  }
  std::unique_ptr<ByteSource> open(const std::string& path,
                                   const std::string& query = "") {
    auto address = parse_source("serial:" + path + query);
    EXPECT_TRUE(address);
    auto source = open_source(loop_, *address, options_);
    EXPECT_TRUE(source);
    source.value()->start(sink_);
    return std::move(*source);
  }
  bool comes_to(SourceState state) {
    return run_until(loop_, [&] { return sink_.is(state); });
  }

  Loop loop_;
  test::TempDir dir_;
  Recorder sink_;
  SourceOptions options_;
};

// All 256 values: nothing is swallowed, changed or echoed.
std::string every_byte() {
  std::string all;
  for (int i = 0; i < 256; ++i) {
    all += static_cast<char>(i);
  }
  return all;
}

TEST_F(SerialSource, BytesGoBothWaysUnchanged) {
  Pty pty;
  const auto source = open(pty.path());
  EXPECT_EQ(source->send(bytes_of("early")).error().code, ErrorCode::kIo);
  ASSERT_TRUE(comes_to(SourceState::kOpen));
  pty.write(every_byte());
  ASSERT_TRUE(run_until(loop_, [&] { return sink_.bytes.size() >= 256; }));
  EXPECT_EQ(sink_.bytes, every_byte());
  EXPECT_EQ(pty.read(), "") << "no echo";
  ASSERT_TRUE(source->send(bytes_of(every_byte())));
  ASSERT_TRUE(source->send(bytes_of("end")));
  std::string got;
  // The loop needs something to wait for: the pty answers.
  ASSERT_TRUE(run_until(loop_, [&] {
    got += pty.read();
    loop_.after(std::chrono::microseconds{100}, [] {});
    return got.size() >= 259;
  }));
  EXPECT_EQ(got, every_byte() + "end");
}

TEST_F(SerialSource, OddSpeedsAndFlowControlAreSet) {
  Pty pty;
  auto opened = open_serial(pty.path(), 123457, FlowControl::kHardware);
  ASSERT_TRUE(opened) << opened.error().text();
  termios2 settings{};
  ASSERT_EQ(ioctl(*opened, TCGETS2, &settings), 0);
  EXPECT_EQ(settings.c_ospeed, 123457U);
  EXPECT_EQ(settings.c_ispeed, 123457U);
  EXPECT_NE(settings.c_cflag & CRTSCTS, 0U);
  EXPECT_EQ(settings.c_cflag & (CSIZE | PARENB | CSTOPB | HUPCL), CS8 + 0U);
  EXPECT_EQ(settings.c_lflag, 0U);
  EXPECT_EQ(settings.c_iflag & (IXON | IXOFF), 0U);
  release_serial(*opened);
  close(*opened);
  opened = open_serial(pty.path(), 9600, FlowControl::kSoftware);
  ASSERT_TRUE(opened) << opened.error().text();
  ASSERT_EQ(ioctl(*opened, TCGETS2, &settings), 0);
  EXPECT_EQ(settings.c_iflag & (IXON | IXOFF), IXON + 0U + IXOFF);
  EXPECT_EQ(settings.c_cflag & CRTSCTS, 0U);
  close(*opened);
}

TEST_F(SerialSource, IsOpenedAlone) {
  Pty pty;
  auto first = open_serial(pty.path(), 115200, FlowControl::kNone);
  ASSERT_TRUE(first);
  auto second = open_serial(pty.path(), 115200, FlowControl::kNone);
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().what, "another program has it open");
  release_serial(*first);
  close(*first);
  second = open_serial(pty.path(), 115200, FlowControl::kNone);
  ASSERT_TRUE(second);
  close(*second);
}

TEST_F(SerialSource, UnpluggedItWaitsAndGoesOnWhereTheLinkLeads) {
  std::optional<Pty> pty(std::in_place);
  const auto link = dir_.path("receiver");
  std::filesystem::create_symlink(pty->path(), link);
  const auto source = open(link);
  ASSERT_TRUE(comes_to(SourceState::kOpen));
  pty->write("one");
  ASSERT_TRUE(run_until(loop_, [&] { return sink_.bytes == "one"; }));

  pty->unplug();
  std::filesystem::remove(link);
  ASSERT_TRUE(comes_to(SourceState::kWaiting));
  EXPECT_EQ(sink_.why().what, "the device is gone");
  EXPECT_FALSE(source->send(bytes_of("x")));
  ASSERT_TRUE(
      run_until(loop_, [&] { return sink_.why().what == "no such device"; }));
  EXPECT_EQ(sink_.why().where, link);

  const Pty second;
  std::filesystem::create_symlink(second.path(), link);
  ASSERT_TRUE(comes_to(SourceState::kOpen));
  second.write("two");
  ASSERT_TRUE(run_until(loop_, [&] { return sink_.bytes == "onetwo"; }));
}

TEST_F(SerialSource, ADeviceThatIsNotThereYetIsWaitedFor) {
  options_.longest_wait_s = 60;
  options_.first_wait_s = 60;
  const auto source = open(dir_.path("none"));
  ASSERT_TRUE(comes_to(SourceState::kWaiting));
  EXPECT_EQ(sink_.why().what, "no such device");
  EXPECT_EQ(sink_.states.back().retry_in_s, 2) << "looked for often";
}

TEST_F(SerialSource, WithoutReconnectTheLossIsTheEnd) {
  options_.reconnect = false;
  Pty pty;
  const auto source = open(pty.path());
  ASSERT_TRUE(comes_to(SourceState::kOpen));
  pty.unplug();
  ASSERT_TRUE(comes_to(SourceState::kEnded));
  EXPECT_EQ(sink_.why().what, "the device is gone");
}

TEST_F(SerialSource, AFileIsNoDeviceAndWillNotBecomeOne) {
  const auto source = open(dir_.file("a", "text"));
  ASSERT_TRUE(comes_to(SourceState::kEnded));
  EXPECT_EQ(sink_.why().code, ErrorCode::kUsage);
  EXPECT_EQ(sink_.why().what, "it is no serial device");
}

TEST(OpenError, SaysWhatToDo) {
  EXPECT_EQ(open_error(EACCES, "/dev/ttyUSB0").what,
            "this user may not open /dev/ttyUSB0");
  EXPECT_NE(open_error(EACCES, "/dev/ttyUSB0").remedy.find("group dialout"),
            std::string::npos);
  EXPECT_EQ(open_error(ENODEV, "x").what, "no such device");
  EXPECT_EQ(open_error(EBUSY, "x").what, "another program has it open");
  EXPECT_EQ(open_error(EIO, "x").what.rfind("it does not open: ", 0), 0U);
}

}  // namespace
}  // namespace stillpoint::net
