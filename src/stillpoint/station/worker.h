// A thread of the station with a name, and the sign that it is alive.
#pragma once

#include <atomic>
#include <chrono>
#include <cstdint>
#include <functional>
#include <string>
#include <thread>

namespace stillpoint::station {

// When a thread last said that it works.
class Heartbeat {
 public:
  void beat(std::chrono::nanoseconds now) { at_ns_ = now.count(); }
  [[nodiscard]] std::chrono::nanoseconds at() const {
    return std::chrono::nanoseconds{at_ns_};
  }

 private:
  std::atomic<std::int64_t> at_ns_ = 0;
};

// Runs `work` on a thread of its own, shown to the system as `name` (15
// letters). What it throws (memory that ran out, mostly) ends the program: a
// station with a part missing would seem to be well, and the service manager
// starts it again.
class Worker {
 public:
  // How the system divides the processor where there is too little of it: what
  // receives and serves comes before what explains and records.
  enum class Rank : std::uint8_t { kServing, kBehind };

  Worker(std::string name, Rank rank, std::function<void()> work);
  ~Worker();  // waits for the end of `work`
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;

  void join();

 private:
  std::thread thread_;
};

}  // namespace stillpoint::station
