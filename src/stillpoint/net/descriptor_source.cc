#include "stillpoint/net/descriptor_source.h"

#include <unistd.h>

#include <boost/asio/buffer.hpp>
#include <utility>

namespace stillpoint::net {

using boost::system::error_code;

DescriptorSource::DescriptorSource(Loop& loop, const SourceOptions& options)
    : SourceCore(loop, options), descriptor_(loop.impl().context) {}

void DescriptorSource::open() {
  auto number = open_descriptor();
  if (!number) {
    lost(std::move(number.error()));
    return;
  }
  error_code code;
  descriptor_.assign(*number, code);
  if (code) {
    before_close(*number);
    ::close(*number);
    read_failed(code);
    return;
  }
  opened();
  if (running()) {
    read();
  }
}

void DescriptorSource::shut() {
  ++turn_;
  if (descriptor_.is_open()) {
    before_close(descriptor_.native_handle());
    error_code ignored;  // it is gone either way
    descriptor_.close(ignored);
  }
}

void DescriptorSource::read() {
  auto self = std::static_pointer_cast<DescriptorSource>(shared_from_this());
  descriptor_.async_read_some(
      boost::asio::buffer(incoming_),
      [self, turn = turn_](const error_code& code, std::size_t count) {
        if (turn != self->turn_) {
          return;
        }
        if (code) {
          self->read_failed(code);
          return;
        }
        self->deliver(ByteSpan(self->incoming_.data(), count));
        if (turn == self->turn_) {
          self->read();
        }
      });
}

}  // namespace stillpoint::net
