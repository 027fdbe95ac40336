#include <fcntl.h>
#include <unistd.h>

#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <cerrno>
#include <system_error>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/net/source_kinds.h"

namespace stillpoint::net {
namespace {

// A piece a turn of the loop, so that stop() and others get their turn; also
// what a pacer sees.
constexpr std::size_t kPiece = std::size_t{64} * 1024;

// Paced, a step waits in [begin_, begin_ + step) until it is due. Times are
// counted from the timer's first expiry, so that no clock is read here and
// delays do not add up.
class ReaderSource final : public SourceCore {
 public:
  ReaderSource(Loop& loop,
               OpenReader open_reader,
               std::string name,
               double speed,
               const SourceOptions& options)
      : SourceCore(loop, options),
        open_reader_(std::move(open_reader)),
        name_(std::move(name)),
        speed_(speed),
        due_(loop.impl().context) {}

  Status send(ByteSpan) override {
    return fail(ErrorCode::kUnsupported,
                "a file takes no bytes",
                name_,
                "give a source that is a receiver");
  }

 private:
  void open() override {
    auto reader = open_reader_();
    if (!reader) {
      end(std::move(reader.error()));
      return;
    }
    reader_ = std::move(*reader);
    buffer_.resize(kPiece);
    due_.expires_after(std::chrono::nanoseconds{0});
    first_ = due_.expiry();
    opened();
    go_on();
  }

  void shut() override {
    due_.cancel();
    reader_ = nullptr;
  }

  // The next piece, in a turn of its own.
  void go_on() {
    if (running()) {
      boost::asio::post(due_.get_executor(), [self = shared_from_this()] {
        static_cast<ReaderSource&>(*self).next_piece();
      });
    }
  }

  void next_piece() {
    if (!running()) {
      return;
    }
    if (auto filled = fill(); !filled) {
      end(std::move(filled.error()));
      return;
    }
    const ByteSpan ahead(buffer_.data() + begin_, end_ - begin_);
    if (ahead.empty()) {
      end(std::nullopt);
    } else if (speed_ > 0) {
      pace(ahead);
    } else {
      hand_out(ahead.size());
    }
  }

  void pace(ByteSpan ahead) {
    const auto step = options().pacer->next(ahead, is_whole_);
    STILLPOINT_CHECK(step.bytes >= 1 && step.bytes <= ahead.size());
    due_.expires_at(first_ + timer_span(step.due_s / speed_));
    due_.async_wait([self = shared_from_this(), count = step.bytes](
                        const boost::system::error_code& code) {
      if (!code) {
        static_cast<ReaderSource&>(*self).hand_out(count);
      }
    });
  }

  void hand_out(std::size_t count) {
    if (!running()) {
      return;
    }
    begin_ += count;
    deliver(ByteSpan(buffer_.data() + begin_ - count, count));
    go_on();
  }

  // Fills the buffer, or to the end of the file.
  Status fill() {
    std::move(buffer_.begin() + static_cast<std::ptrdiff_t>(begin_),
              buffer_.begin() + static_cast<std::ptrdiff_t>(end_),
              buffer_.begin());
    end_ -= std::exchange(begin_, 0);
    while (end_ < buffer_.size() && !is_whole_) {
      auto* into = reinterpret_cast<char*>(buffer_.data() + end_);
      auto count = reader_({into, buffer_.size() - end_});
      if (!count) {
        return fail(std::move(count.error()));
      }
      is_whole_ = *count == 0;
      end_ += *count;
    }
    return ok();
  }

  OpenReader open_reader_;
  FileReader reader_;
  std::string name_;
  double speed_;
  boost::asio::steady_timer due_;
  boost::asio::steady_timer::time_point first_;
  std::vector<std::uint8_t> buffer_;
  std::size_t begin_ = 0, end_ = 0;
  bool is_whole_ = false;  // nothing follows the buffer
};

Error file_error(int number, const std::string& path) {
  return {ErrorCode::kIo,
          "the file cannot be read: " + std::generic_category().message(number),
          path,
          ""};
}

Result<FileReader> open_plain(const std::string& path) {
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) {
    return fail(file_error(errno, path));
  }
  return descriptor_reader(descriptor, path);
}

}  // namespace

FileReader descriptor_reader(int descriptor, std::string name) {
  const std::shared_ptr<const int> owner(new int(descriptor),
                                         [](const int* number) {
                                           ::close(*number);
                                           delete number;
                                         });
  return [owner,
          name = std::move(name)](std::span<char> into) -> Result<std::size_t> {
    for (;;) {
      const auto count = ::read(*owner, into.data(), into.size());
      if (count >= 0) {
        return static_cast<std::size_t>(count);
      }
      if (errno != EINTR) {
        return fail(file_error(errno, name));
      }
    }
  };
}

std::shared_ptr<SourceCore> make_reader_source(Loop& loop,
                                               OpenReader open,
                                               std::string name,
                                               double speed,
                                               const SourceOptions& options) {
  return std::make_shared<ReaderSource>(
      loop, std::move(open), std::move(name), speed, options);
}

std::shared_ptr<SourceCore> make_file_source(Loop& loop,
                                             const SourceAddress& address,
                                             const SourceOptions& options) {
  const auto open_file = options.open_file ? options.open_file : open_plain;
  return make_reader_source(
      loop,
      [open_file, path = address.path] { return open_file(path); },
      address.path,
      address.speed,
      options);
}

}  // namespace stillpoint::net
