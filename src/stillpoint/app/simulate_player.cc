#include "stillpoint/app/simulate_player.h"

namespace stillpoint::app {
namespace {

constexpr double kLookS = 0.02;
constexpr int kEpochsAtOnce = 64;  // before readers get their turn
constexpr std::size_t kReadersPaceBytes = std::size_t{256} * 1024;
// A terminal that closes takes with it what its reader has not read yet.
constexpr double kLingerS = 2;

}  // namespace

SimulatePlayer::SimulatePlayer(const SimulateArgs& args,
                               net::Loop& loop,
                               const simulate::Sky& sky,
                               std::size_t receiver)
    : args_(args),
      loop_(loop),
      receiver_(sky, receiver),
      port_(sky,
            sky.scenario().receivers[receiver],
            {.station_id = static_cast<int>(receiver) + 1,
             .level = args.msm_level}) {
  const simulate::Scenario& scenario = sky.scenario();
  first_s_ = args.start ? sky.seconds(*args.start) : 0;
  last_s_ = args.end ? sky.seconds(*args.end) : scenario.length_s;
  interval_s_ = receiver_.description().interval_s;
}

void SimulatePlayer::later(double seconds, void (SimulatePlayer::*then)()) {
  loop_.after(std::chrono::duration_cast<std::chrono::nanoseconds>(
                  std::chrono::duration<double>(seconds)),
              [this, then] { (this->*then)(); });
}

bool SimulatePlayer::send(ByteSpan bytes) {
  if (bytes.empty()) {
    return true;
  }
  bytes_ += bytes.size();
  if (auto sent = outlet_->send(bytes); !sent) {
    error_ = sent.error();
    loop_.stop();
    return false;
  }
  return true;
}

void SimulatePlayer::take(ByteSpan bytes) {
  const std::vector<std::uint8_t> answer = port_.take(bytes);
  if (outlet_ != nullptr) {
    send(answer);
  }
}

void SimulatePlayer::start(net::ByteOutlet& outlet) {
  outlet_ = &outlet;
  wait_for_reader();
}

void SimulatePlayer::wait_for_reader() {
  if (outlet_->clients() == 0) {
    later(kLookS, &SimulatePlayer::wait_for_reader);
    return;
  }
  started_ = std::chrono::steady_clock::now();
  play();
}

double SimulatePlayer::played_s() const {
  const std::chrono::duration<double> since =
      std::chrono::steady_clock::now() - started_;
  return since.count() * args_.speed;
}

void SimulatePlayer::play() {
  for (int i = 0; i < kEpochsAtOnce; ++i) {
    const double since_s = interval_s_ * static_cast<double>(next_);
    if (first_s_ + since_s >= last_s_ - 1e-9) {
      drain();
      return;
    }
    // Faster than any receiver, it waits for its readers.
    const bool too_fast =
        args_.speed != 1 && outlet_->waiting() >= kReadersPaceBytes;
    if (too_fast || (args_.speed > 0 && since_s > played_s())) {
      later(kLookS / 10, &SimulatePlayer::play);
      return;
    }
    ++next_;
    if (!receiver_.observe(first_s_ + since_s, epoch_, nullptr)) {
      continue;
    }
    auto bytes = port_.epoch(epoch_);
    if (!bytes) {
      error_ = std::move(bytes.error());
      loop_.stop();
      return;
    }
    epochs_ += bytes->empty() ? 0U : 1U;
    if (!send(*bytes)) {
      return;
    }
  }
  later(0, &SimulatePlayer::play);
}

void SimulatePlayer::drain() {
  if (outlet_->clients() == 0) {
    loop_.stop();
    return;
  }
  if (outlet_->waiting() > 0) {
    later(kLookS, &SimulatePlayer::drain);
    return;
  }
  linger_s_ += kLookS;
  if (!args_.to_pty || linger_s_ > kLingerS) {
    loop_.stop();
    return;
  }
  later(kLookS, &SimulatePlayer::drain);
}

}  // namespace stillpoint::app
