// The receiver: a TCP port to which the station connects and that sends it
// stamped frames.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace stillpoint::bench {

class ReceiverStandIn {
 public:
  ~ReceiverStandIn();

  // On 127.0.0.1; false: the port is taken.
  bool listen(std::uint16_t port);
  [[nodiscard]] int listener() const { return listener_; }
  // The newest connection is the one that is sent to.
  void accept();
  [[nodiscard]] bool connected() const { return connection_ >= 0; }

  // Sends a frame with the time, and what is left of those before. Nothing
  // without a connection.
  void send_stamped(std::size_t bytes);
  void send(std::string_view frame);
  // What the connection has not taken yet goes on; true: nothing is left.
  bool flush();

  // Frames begun so far: also the number of the next.
  [[nodiscard]] std::uint32_t frames() const { return next_; }
  [[nodiscard]] std::uint64_t taken_bytes() const { return taken_bytes_; }

 private:
  int listener_ = -1, connection_ = -1;
  std::uint32_t next_ = 0;
  std::string left_;
  std::uint64_t taken_bytes_ = 0;  // by the system, for the station
};

}  // namespace stillpoint::bench
