#include "stillpoint/net/serial_posix.h"

// Any speed needs the kernel's own termios2, whose header cannot stand beside
// <termios.h>.
#include <asm/termbits.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

#include "stillpoint/net/net_errors.h"

namespace stillpoint::net {
namespace {

termios2 raw_settings(termios2 settings, unsigned baud, FlowControl flow) {
  settings.c_iflag = flow == FlowControl::kSoftware ? IXON | IXOFF : 0U;
  settings.c_oflag = 0;
  settings.c_lflag = 0;
  // 8N1 at the speed in c_ispeed and c_ospeed, modem lines ignored.
  settings.c_cflag = CS8 | CREAD | CLOCAL | BOTHER | (BOTHER << IBSHIFT) |
                     (flow == FlowControl::kHardware ? CRTSCTS : 0U);
  settings.c_ispeed = baud;
  settings.c_ospeed = baud;
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  return settings;
}

// Receivers and computers that differ by more do not understand each other: a
// byte is ten bits, and half a bit may be lost. Common practice, no source.
bool is_near(unsigned got, unsigned wanted) {
  constexpr double kMost = 0.03;
  return got >= wanted * (1 - kMost) && got <= wanted * (1 + kMost);
}

Status set_up(int descriptor,
              const std::string& path,
              unsigned baud,
              FlowControl flow) {
  termios2 settings{};
  if (ioctl(descriptor, TCGETS2, &settings) != 0) {
    if (errno == ENOTTY || errno == EINVAL) {
      return fail(ErrorCode::kUsage,
                  "it is no serial device",
                  path,
                  "name the device (ls /dev/serial/by-id), or write file: "
                  "before a file");
    }
    return fail(open_error(errno, path));
  }
  // Two locks: the first keeps all others out but the superuser, the second
  // keeps out programs that ask for it, whoever runs them.
  if (flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
    return fail(open_error(EBUSY, path));
  }
  if (ioctl(descriptor, TIOCEXCL) != 0) {
    return fail(open_error(errno, path));
  }
  settings = raw_settings(settings, baud, flow);
  if (ioctl(descriptor, TCSETS2, &settings) != 0 ||
      ioctl(descriptor, TCGETS2, &settings) != 0) {
    return fail(open_error(errno, path));
  }
  if (!is_near(settings.c_ospeed, baud)) {
    return fail(ErrorCode::kConfig,
                "it cannot do " + std::to_string(baud) +
                    " baud, the nearest is " +
                    std::to_string(settings.c_ospeed),
                path,
                "set the receiver and baud= to a speed that both can do");
  }
  // What came before it was set up is no data.
  ioctl(descriptor, TCFLSH, TCIFLUSH);
  return ok();
}

}  // namespace

Result<int> open_serial(const std::string& path,
                        unsigned baud,
                        FlowControl flow) {
  const int descriptor =
      ::open(path.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (descriptor < 0) {
    return fail(open_error(errno, path));
  }
  if (auto done = set_up(descriptor, path, baud, flow); !done) {
    ::close(descriptor);
    return fail(std::move(done.error()));
  }
  return descriptor;
}

void release_serial(int descriptor) {
  ioctl(descriptor, TIOCNXCL);
  flock(descriptor, LOCK_UN);
}

}  // namespace stillpoint::net
