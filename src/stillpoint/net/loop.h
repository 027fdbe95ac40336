// The event loop that sources and connections live on: one thread, the
// caller's, which makes every call here but post(). It outlives all that lives
// on it.
// Boost.Asio stays behind it.
#pragma once

#include <chrono>
#include <functional>
#include <memory>

namespace stillpoint::net {

class Loop {
 public:
  Loop();
  ~Loop();
  Loop(const Loop&) = delete;
  Loop& operator=(const Loop&) = delete;

  // Works until stop() or until nothing is left to do; with on_interrupt()
  // set there always is.
  void run();
  // The same, at most this long.
  void run_for(std::chrono::nanoseconds time);
  // Ends the run() it is called in; outside of one, the next ends at once.
  void stop();
  // Whether the last run() was ended by stop(), or the next will be.
  [[nodiscard]] bool stopped() const;

  // Calls `action` once after `delay`, from run().
  void after(std::chrono::nanoseconds delay, std::function<void()> action);
  // Calls `action` once from run(), after what was posted before; a run() that
  // has nothing else to do waits for none. What is left when the loop goes is
  // not called.
  //
  //   threads  any, as long as the loop is there
  void post(std::function<void()> action);
  // Calls `action` at every SIGINT and SIGTERM, from run(); the last one set
  // counts.
  void on_interrupt(std::function<void()> action);
  // The same for SIGHUP, which otherwise ends the program.
  void on_hangup(std::function<void()> action);

  struct Impl;  // loop_asio.h, for the modules net and ntrip
  [[nodiscard]] Impl& impl() { return *impl_; }

 private:
  std::unique_ptr<Impl> impl_;
};

}  // namespace stillpoint::net
