#include <algorithm>
#include <boost/asio/buffer.hpp>
#include <utility>

#include "stillpoint/net/descriptor_source.h"
#include "stillpoint/net/net_errors.h"
#include "stillpoint/net/serial_posix.h"
#include "stillpoint/net/source_kinds.h"
#include "stillpoint/net/write_queue.h"

namespace stillpoint::net {
namespace {

using boost::system::error_code;

// Start-up commands are short; more than this waits only where flow control
// holds the line.
constexpr std::size_t kMostQueued = std::size_t{64} * 1024;
constexpr double kLongestLookSeconds = 2;

SourceOptions with_short_waits(SourceOptions options) {
  options.longest_wait_s =
      std::min(options.longest_wait_s, kLongestLookSeconds);
  options.first_wait_s = std::min(options.first_wait_s, options.longest_wait_s);
  return options;
}

// The path is opened anew each time, so that a symbolic link leads to where
// the device came back.
class SerialSource final : public DescriptorSource {
 public:
  SerialSource(Loop& loop, SourceAddress address, const SourceOptions& options)
      : DescriptorSource(loop, with_short_waits(options)),
        address_(std::move(address)) {}

  Status send(ByteSpan bytes) override {
    if (!descriptor().is_open()) {
      return fail(ErrorCode::kIo,
                  "the device is not open",
                  address_.path,
                  "wait until it is");
    }
    if (!outgoing_.push(
            std::make_shared<const std::string>(bytes.begin(), bytes.end()))) {
      return fail(ErrorCode::kIo,
                  "the receiver takes no more bytes",
                  address_.path,
                  "check flow= and the receiver");
    }
    write();
    return ok();
  }

 private:
  Result<int> open_descriptor() override {
    return open_serial(address_.path, address_.baud, address_.flow);
  }

  void before_close(int descriptor) override { release_serial(descriptor); }

  void read_failed(const error_code& code) override {
    lost(device_lost(code, address_.path));
  }

  void shut() override {
    DescriptorSource::shut();
    outgoing_.clear();
    is_writing_ = false;
  }

  void write() {
    if (is_writing_ || outgoing_.empty()) {
      return;
    }
    is_writing_ = true;
    const Chunk chunk = outgoing_.front_chunk();  // lives while it is written
    const auto front = outgoing_.front();
    auto self = std::static_pointer_cast<SerialSource>(shared_from_this());
    descriptor().async_write_some(
        boost::asio::buffer(front.data(), front.size()),
        [self, chunk, at = turn()](const error_code& code, std::size_t count) {
          if (at != self->turn()) {
            return;
          }
          self->is_writing_ = false;
          if (code) {
            self->lost(device_lost(code, self->address_.path));
            return;
          }
          self->outgoing_.take(count);
          self->write();
        });
  }

  SourceAddress address_;
  WriteQueue outgoing_{kMostQueued};
  bool is_writing_ = false;
};

}  // namespace

std::shared_ptr<SourceCore> make_serial_source(Loop& loop,
                                               const SourceAddress& address,
                                               const SourceOptions& options) {
  return std::make_shared<SerialSource>(loop, address, options);
}

}  // namespace stillpoint::net
