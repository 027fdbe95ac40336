#include "stillpoint/app/player.h"

#include <algorithm>
#include <cstring>

#include "stillpoint/app/stream_source.h"

namespace stillpoint::app {
namespace {

constexpr std::size_t kBuffer = std::size_t{64} * 1024;
constexpr std::size_t kEnoughAhead = 2048;  // a whole frame and more
constexpr double kLookS = 0.02;             // for readers, and for their pace
constexpr double kBetweenStallsS = 10;      // of stream
constexpr std::size_t kPiecesAtOnce = 256;  // before others get their turn
// That much may wait for the slowest reader where the readers set the pace:
// enough for them never to starve, far from where an outlet lets go of them.
constexpr std::size_t kReadersPaceBytes = std::size_t{256} * 1024;
constexpr double kShortestRoundS = 1;  // of stream, where no epochs tell
// A terminal that closes takes with it what its reader has not read yet.
constexpr double kLingerS = 2;

}  // namespace

Player::Player(const ReplayArgs& args, net::Loop& loop, net::ByteOutlet& outlet)
    : args_(args),
      loop_(loop),
      outlet_(outlet),
      buffer_(kBuffer),
      faults_(args.faults),
      next_stall_s_(kBetweenStallsS) {}

PlayCounts Player::counts() const {
  PlayCounts counts = counts_;
  counts.faults = faults_.counts();
  return counts;
}

void Player::later(double seconds, void (Player::*then)()) {
  loop_.after(std::chrono::duration_cast<std::chrono::nanoseconds>(
                  std::chrono::duration<double>(seconds)),
              [this, then] { (this->*then)(); });
}

Status Player::open() {
  auto reader = open_packed_file(args_.file);
  if (!reader) {
    return fail(std::move(reader.error()));
  }
  reader_ = std::move(*reader);
  begin_ = end_ = 0;
  all_ = false;
  step_.reset();
  pace_ = {};
  return ok();
}

Status Player::start() {
  if (auto opened = open(); !opened) {
    return opened;
  }
  if (!fill()) {
    return fail(*error_);
  }
  if (begin_ == end_) {
    return fail(ErrorCode::kNoData,
                "the recording is empty",
                args_.file,
                "give a recording that holds bytes of a stream");
  }
  wait_for_reader();
  return ok();
}

void Player::wait_for_reader() {
  if (outlet_.clients() == 0) {
    later(kLookS, &Player::wait_for_reader);
    return;
  }
  started_ = std::chrono::steady_clock::now();
  play();
}

double Player::played_s() const {
  const std::chrono::duration<double> since =
      std::chrono::steady_clock::now() - started_;
  return (since.count() - stalled_s_) * args_.speed;
}

bool Player::fill() {
  if (begin_ > 0) {
    std::memmove(buffer_.data(), buffer_.data() + begin_, end_ - begin_);
    end_ -= begin_;
    begin_ = 0;
  }
  while (!all_ && end_ < buffer_.size()) {
    const auto n = reader_({reinterpret_cast<char*>(buffer_.data()) + end_,
                            buffer_.size() - end_});
    if (!n) {
      error_ = n.error();
      return false;
    }
    all_ = *n == 0;
    end_ += *n;
  }
  return true;
}

// Whether the next piece may go out.
bool Player::is_due(double due_s) {
  if (due_s != instant_s_) {
    instant_s_ = due_s;
    instant_bytes_ = 0;
  }
  // So much in one instant is no receiver: the recording tells no time, or
  // not here.
  if (args_.speed == 0 || instant_bytes_ >= kReadersPaceBytes) {
    return outlet_.waiting() < kReadersPaceBytes;
  }
  return round_start_s_ + due_s <= played_s();
}

bool Player::play_due() {
  for (std::size_t i = 0; i < kPiecesAtOnce; ++i) {
    if (!all_ && end_ - begin_ < kEnoughAhead && !fill()) {
      return false;
    }
    if (begin_ == end_) {
      return false;
    }
    if (!step_) {
      step_ = pace_.next(ByteSpan(buffer_).subspan(begin_, end_ - begin_));
    }
    if (!is_due(step_->due_s)) {
      return true;
    }
    const ByteSpan piece =
        faults_.apply(ByteSpan(buffer_).subspan(begin_, step_->bytes));
    begin_ += step_->bytes;
    counts_.bytes += piece.size();
    instant_bytes_ += piece.size();
    if (auto sent = outlet_.send(piece); !sent) {
      error_ = sent.error();
      return false;
    }
    const double at_s = round_start_s_ + step_->due_s;
    step_.reset();
    if (args_.stall_s > 0 && at_s >= next_stall_s_) {
      next_stall_s_ = at_s + kBetweenStallsS;
      stalled_s_ += args_.stall_s;
      ++counts_.stalls;
      return true;
    }
  }
  return true;
}

void Player::play() {
  const std::uint64_t stalls = counts_.stalls;
  const bool more = play_due();
  if (error_) {
    loop_.stop();
    return;
  }
  if (counts_.stalls > stalls) {
    later(args_.stall_s, &Player::play);
    return;
  }
  if (more) {
    const bool at_once =
        args_.speed == 0 && outlet_.waiting() < kReadersPaceBytes;
    later(at_once ? 0 : kLookS / 10, &Player::play);
    return;
  }
  ++counts_.rounds;
  if (!args_.loop) {
    drain();
    return;
  }
  round_start_s_ += std::max(instant_s_, kShortestRoundS);
  if (args_.speed > 0) {
    round_start_s_ = std::max(round_start_s_, played_s());
  }
  instant_s_ = 0;
  instant_bytes_ = 0;
  if (auto opened = open(); !opened) {
    error_ = opened.error();
    loop_.stop();
    return;
  }
  later(0, &Player::play);
}

void Player::drain() {
  if (outlet_.clients() == 0) {
    loop_.stop();
    return;
  }
  if (outlet_.waiting() > 0) {
    later(kLookS, &Player::drain);
    return;
  }
  linger_s_ += kLookS;
  if (!args_.to_pty || linger_s_ > kLingerS) {
    loop_.stop();
    return;
  }
  later(kLookS, &Player::drain);
}

}  // namespace stillpoint::app
