// A source that reads an open file descriptor which the system can wait for:
// a serial device, a pipe, a terminal.
#pragma once

#include <array>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/system/error_code.hpp>
#include <cstdint>

#include "stillpoint/net/source_core.h"

namespace stillpoint::net {

class DescriptorSource : public SourceCore {
 protected:
  using Descriptor = boost::asio::posix::stream_descriptor;

  DescriptorSource(Loop& loop, const SourceOptions& options);

  // A descriptor to read, which becomes this source's own.
  virtual Result<int> open_descriptor() = 0;
  // Before the descriptor is closed.
  virtual void before_close(int descriptor) = 0;
  // The end or an error: calls lost() or end().
  virtual void read_failed(const boost::system::error_code& code) = 0;

  Descriptor& descriptor() { return descriptor_; }
  // Changes with each shut(): handlers of an earlier try compare it.
  [[nodiscard]] std::uint64_t turn() const { return turn_; }

  void open() override;
  void shut() override;

 private:
  void read();

  Descriptor descriptor_;
  std::uint64_t turn_ = 0;
  std::array<std::uint8_t, 16384> incoming_{};
};

}  // namespace stillpoint::net
