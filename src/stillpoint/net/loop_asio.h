// What a Loop is made of. For the modules net and ntrip only: Boost stays out
// of every other header.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <chrono>
#include <functional>
#include <optional>

#include "stillpoint/net/loop.h"

namespace stillpoint::net {

struct Loop::Impl {
  // Run by one thread. (Asio's name resolver starts a thread of its own behind
  // it, the one exception to "nobody below the daemon starts a thread": the
  // system's resolver knows no other way not to block.)
  boost::asio::io_context context{1};
  // One set of signals, and what is called at each.
  struct Signals {
    explicit Signals(boost::asio::io_context& io) : set(io) {}
    boost::asio::signal_set set;
    std::function<void()> action;
  };
  std::optional<Signals> interrupts, hangups;
  bool running = false;
  bool stopped = false;    // the last run was ended by stop()
  bool stop_next = false;  // stop() came outside of a run
};

// Seconds of options as a timer takes them; senseless values become 0 or a
// century, which no run reaches.
inline std::chrono::nanoseconds timer_span(double seconds) {
  constexpr double kLongestSeconds = 3.2e9;
  if (!(seconds > 0)) {
    return std::chrono::nanoseconds{0};
  }
  return std::chrono::duration_cast<std::chrono::nanoseconds>(
      std::chrono::duration<double>(
          seconds < kLongestSeconds ? seconds : kLongestSeconds));
}

}  // namespace stillpoint::net
