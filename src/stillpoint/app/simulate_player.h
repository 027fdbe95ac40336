// Plays a simulated receiver to an outlet, at the pace of its epochs.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>

#include "stillpoint/app/simulate_args.h"
#include "stillpoint/net/listener.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/simulate/output/receiver_port.h"

namespace stillpoint::app {

class SimulatePlayer {
 public:
  // All outlive the player.
  SimulatePlayer(const SimulateArgs& args,
                 net::Loop& loop,
                 const simulate::Sky& sky,
                 std::size_t receiver);

  // What readers send, for the outlet to be opened with.
  void take(ByteSpan bytes);
  // Begins when the first reader is there; stops the loop at the end, once
  // the readers have taken all, or at an error.
  void start(net::ByteOutlet& outlet);

  [[nodiscard]] const std::optional<Error>& error() const { return error_; }
  [[nodiscard]] std::uint64_t epochs() const { return epochs_; }
  [[nodiscard]] std::uint64_t bytes() const { return bytes_; }
  [[nodiscard]] const simulate::PortSettings& settings() const {
    return port_.settings();
  }

 private:
  void wait_for_reader();
  void play();
  void drain();
  void later(double seconds, void (SimulatePlayer::*then)());
  bool send(ByteSpan bytes);
  [[nodiscard]] double played_s() const;

  const SimulateArgs& args_;
  net::Loop& loop_;
  net::ByteOutlet* outlet_ = nullptr;
  simulate::SimulatedReceiver receiver_;
  simulate::ReceiverPort port_;
  double first_s_ = 0, last_s_ = 0, interval_s_ = 1;
  std::int64_t next_ = 0;  // number of the epoch
  Epoch epoch_;
  std::uint64_t epochs_ = 0, bytes_ = 0;
  double linger_s_ = 0;
  std::chrono::steady_clock::time_point started_;
  std::optional<Error> error_;
};

}  // namespace stillpoint::app
