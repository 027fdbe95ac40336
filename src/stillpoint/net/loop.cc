#include "stillpoint/net/loop.h"

#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>
#include <initializer_list>
#include <optional>
#include <utility>

#include "stillpoint/net/loop_asio.h"

namespace stillpoint::net {
namespace {

using boost::system::error_code;

void wait_for(Loop::Impl::Signals& signals) {
  signals.set.async_wait([&signals](const error_code& error, int) {
    if (!error) {
      wait_for(signals);
      signals.action();
    }
  });
}

void call_at(std::optional<Loop::Impl::Signals>& signals,
             boost::asio::io_context& context,
             std::initializer_list<int> numbers,
             std::function<void()> action) {
  const bool first = !signals;
  if (first) {
    signals.emplace(context);
    for (const int number : numbers) {
      signals->set.add(number);
    }
  }
  signals->action = std::move(action);
  if (first) {
    wait_for(*signals);
  }
}

template <class Work>
void run_once(Loop::Impl& impl, Work work) {
  impl.stopped = std::exchange(impl.stop_next, false);
  if (impl.stopped) {
    return;
  }
  impl.context.restart();
  impl.running = true;
  work(impl.context);
  impl.running = false;
}

}  // namespace

Loop::Loop() : impl_(std::make_unique<Impl>()) {}
Loop::~Loop() = default;

void Loop::run() {
  run_once(*impl_, [](auto& context) { context.run(); });
}

void Loop::run_for(std::chrono::nanoseconds time) {
  run_once(*impl_, [time](auto& context) { context.run_for(time); });
}

void Loop::stop() {
  if (!impl_->running) {
    impl_->stop_next = true;
    return;
  }
  impl_->stopped = true;
  impl_->context.stop();
}

bool Loop::stopped() const {
  return impl_->stopped || impl_->stop_next;
}

void Loop::after(std::chrono::nanoseconds delay, std::function<void()> action) {
  auto timer = std::make_shared<boost::asio::steady_timer>(impl_->context);
  timer->expires_after(delay);
  timer->async_wait(
      [timer, action = std::move(action)](const error_code& error) {
        if (!error) {
          action();
        }
      });
}

void Loop::post(std::function<void()> action) {
  boost::asio::post(impl_->context, std::move(action));
}

void Loop::on_interrupt(std::function<void()> action) {
  call_at(
      impl_->interrupts, impl_->context, {SIGINT, SIGTERM}, std::move(action));
}

void Loop::on_hangup(std::function<void()> action) {
  call_at(impl_->hangups, impl_->context, {SIGHUP}, std::move(action));
}

}  // namespace stillpoint::net
