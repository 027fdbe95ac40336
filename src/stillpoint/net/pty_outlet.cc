#include <fcntl.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <cerrno>
#include <cstdlib>
#include <system_error>
#include <utility>

#include "stillpoint/net/listener.h"
#include "stillpoint/net/loop_asio.h"
#include "stillpoint/net/write_queue.h"

namespace stillpoint::net {
namespace {

using Descriptor = boost::asio::posix::stream_descriptor;
using boost::system::error_code;

constexpr double kPauseSeconds = 0.1;  // between looks for a reader

// The master end. Its reads and writes are made directly, and the loop only
// waits for room: while nobody has the other end open, both say EIO and the
// system calls it hung up, which is no error here.
struct Master : std::enable_shared_from_this<Master> {
  Master(Loop& loop, FromReaders readers)
      : end(loop.impl().context),
        pause(loop.impl().context),
        from_readers(std::move(readers)) {}

  [[nodiscard]] bool has_reader() {
    pollfd ask{end.native_handle(), 0, 0};
    return poll(&ask, 1, 0) >= 0 && (ask.revents & POLLHUP) == 0;
  }

  void send(const Chunk& chunk) {
    read();
    if (!has_reader()) {
      outgoing.clear();
      return;
    }
    if (!outgoing.push(chunk)) {
      outgoing.clear();  // an overrun, as on a serial line
      return;
    }
    write();
  }

  void write() {
    while (!is_waiting && !outgoing.empty()) {
      const auto front = outgoing.front();
      const auto count =
          ::write(end.native_handle(), front.data(), front.size());
      if (count > 0) {
        outgoing.take(static_cast<std::size_t>(count));
      } else if (count == 0 || errno == EAGAIN) {
        wait_for_room();
      } else if (errno != EINTR) {
        outgoing.clear();  // the reader has gone
      }
    }
  }

  void wait_for_room() {
    is_waiting = true;
    end.async_wait(Descriptor::wait_write,
                   [self = shared_from_this()](const error_code& code) {
                     self->is_waiting = false;
                     if (!code && self->end.is_open()) {
                       self->write();
                     }
                   });
  }

  // What is there now; false where nobody has the other end open. What the
  // callee sends meanwhile does not read again.
  bool read() {
    constexpr int kMostRounds = 16;
    std::array<std::uint8_t, ByteOutlet::kMostFromReader> bytes{};
    for (int i = 0; i < kMostRounds && !is_reading; ++i) {
      const auto count =
          ::read(end.native_handle(), bytes.data(), bytes.size());
      if (count <= 0) {
        return count < 0 && (errno == EAGAIN || errno == EINTR);
      }
      if (from_readers) {
        is_reading = true;
        from_readers(ByteSpan(bytes).first(static_cast<std::size_t>(count)));
        is_reading = false;
      }
    }
    return true;
  }

  void watch() {
    if (!read()) {
      watch_later();
      return;
    }
    end.async_wait(Descriptor::wait_read,
                   [self = shared_from_this()](const error_code& code) {
                     if (!code && self->end.is_open()) {
                       self->watch();
                     }
                   });
  }

  // Without a reader there is nothing to wait for: the system says at once, and
  // again and again, that it hung up.
  void watch_later() {
    pause.expires_after(timer_span(kPauseSeconds));
    pause.async_wait([self = shared_from_this()](const error_code& code) {
      if (!code && self->end.is_open()) {
        self->watch();
      }
    });
  }

  void close() {
    pause.cancel();
    error_code ignored;  // it is gone either way
    end.close(ignored);
  }

  Descriptor end;
  WriteQueue outgoing{ByteOutlet::kMostWaiting};
  bool is_waiting = false;
  boost::asio::steady_timer pause;
  FromReaders from_readers;
  bool is_reading = false;
};

class PtyOutlet final : public ByteOutlet {
 public:
  PtyOutlet(std::shared_ptr<Master> master, std::string path)
      : master_(std::move(master)), path_(std::move(path)) {}
  PtyOutlet(const PtyOutlet&) = delete;
  PtyOutlet& operator=(const PtyOutlet&) = delete;
  ~PtyOutlet() override { master_->close(); }

  Status send(ByteSpan bytes) override {
    master_->send(
        std::make_shared<const std::string>(bytes.begin(), bytes.end()));
    return ok();
  }
  [[nodiscard]] std::string where() const override { return "serial:" + path_; }
  [[nodiscard]] std::size_t clients() const override {
    return master_->has_reader() ? 1 : 0;
  }
  [[nodiscard]] std::size_t waiting() const override {
    return master_->outgoing.bytes();
  }

 private:
  std::shared_ptr<Master> master_;
  std::string path_;
};

// Raw, as a receiver's bytes must not be changed or echoed; the settings stay
// while the master is open.
bool set_raw(const char* path) {
  const int slave = ::open(path, O_RDWR | O_NOCTTY | O_CLOEXEC);
  termios settings{};
  bool done = slave >= 0 && tcgetattr(slave, &settings) == 0;
  if (done) {
    cfmakeraw(&settings);
    done = tcsetattr(slave, TCSANOW, &settings) == 0;
  }
  if (slave >= 0) {
    ::close(slave);
  }
  return done;
}

}  // namespace

Result<std::unique_ptr<ByteOutlet>> open_pty_outlet(Loop& loop,
                                                    FromReaders from_readers) {
  const auto broken = [] {
    return fail(ErrorCode::kIo,
                "no pseudo-terminal can be opened: " +
                    std::generic_category().message(errno),
                "/dev/ptmx",
                "close programs that hold terminals, or play to tcp:PORT");
  };
  const int number = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (number < 0) {
    return broken();
  }
  const bool is_watched = static_cast<bool>(from_readers);
  auto master = std::make_shared<Master>(loop, std::move(from_readers));
  error_code code;
  master->end.assign(number, code);
  if (code) {
    errno = code.value();
    ::close(number);
    return broken();
  }
  std::array<char, 128> path{};
  if (grantpt(number) != 0 || unlockpt(number) != 0 ||
      ptsname_r(number, path.data(), path.size()) != 0 ||
      !set_raw(path.data())) {
    return broken();
  }
  if (is_watched) {
    master->watch();
  }
  return std::make_unique<PtyOutlet>(std::move(master), path.data());
}

}  // namespace stillpoint::net
