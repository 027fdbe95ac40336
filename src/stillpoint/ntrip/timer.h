// A clock on a Loop that can be stopped and set again.
#pragma once

#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <functional>
#include <memory>
#include <utility>

#include "stillpoint/net/loop_asio.h"

namespace stillpoint::ntrip {

// Destroyed or cancelled it does not call, even where the time had come.
class Timer {
 public:
  using Clock = std::chrono::steady_clock;

  explicit Timer(net::Loop& loop) : timer_(loop.impl().context) {}

  // Calls `action` once at `due`, from run(); what was set before is off.
  void start_at(Clock::time_point due, std::function<void()> action) {
    armed_ = std::make_shared<bool>(true);
    timer_.expires_at(due);
    timer_.async_wait([armed = std::weak_ptr<bool>(armed_),
                       action = std::move(action)](const auto& code) {
      if (!code && !armed.expired()) {
        action();
      }
    });
  }

  void start(double seconds, std::function<void()> action) {
    start_at(Clock::now() + net::timer_span(seconds), std::move(action));
  }

  void cancel() {
    armed_.reset();
    timer_.cancel();
  }

 private:
  boost::asio::steady_timer timer_;
  std::shared_ptr<bool> armed_;  // gone when nothing is set
};

}  // namespace stillpoint::ntrip
