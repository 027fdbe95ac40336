// Plays a recording to an outlet, paced by its epochs.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "stillpoint/app/replay_args.h"
#include "stillpoint/intake/epoch_pace.h"
#include "stillpoint/intake/faults.h"
#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/listener.h"

namespace stillpoint::app {

struct PlayCounts {
  std::uint64_t bytes = 0;   // sent, damaged ones included
  std::uint64_t rounds = 0;  // times that the end was reached
  std::uint64_t stalls = 0;
  intake::FaultCounts faults;
};

class Player {
 public:
  // `outlet` and `loop` outlive the player.
  Player(const ReplayArgs& args, net::Loop& loop, net::ByteOutlet& outlet);

  // Opens the recording and begins when the first reader is there; stops the
  // loop at the end, once the readers have taken all, or at an error.
  Status start();
  [[nodiscard]] const std::optional<Error>& error() const { return error_; }
  [[nodiscard]] PlayCounts counts() const;

 private:
  void wait_for_reader();
  void play();
  // Pieces that are due; false when there is nothing left to play.
  bool play_due();
  bool is_due(double due_s);
  bool fill();
  Status open();
  void drain();
  void later(double seconds, void (Player::*then)());
  [[nodiscard]] double played_s() const;

  const ReplayArgs& args_;
  net::Loop& loop_;
  net::ByteOutlet& outlet_;
  net::FileReader reader_;
  std::vector<std::uint8_t> buffer_;
  std::size_t begin_ = 0, end_ = 0;
  bool all_ = false;  // the recording is in the buffer to its end
  intake::EpochPace pace_;
  std::optional<intake::EpochPace::Step> step_;  // looked at, not yet due
  intake::Faults faults_;
  PlayCounts counts_;
  double round_start_s_ = 0, stalled_s_ = 0, next_stall_s_ = 0, linger_s_ = 0;
  // When the last piece was due in its round, and what went out at that time.
  double instant_s_ = 0;
  std::size_t instant_bytes_ = 0;
  std::chrono::steady_clock::time_point started_;
  std::optional<Error> error_;
};

}  // namespace stillpoint::app
