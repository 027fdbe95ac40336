// A progress line on stderr for anything that takes more than two seconds;
// only where stderr is a terminal and nobody asked for quiet. For a program
// that has started us, the same in the file that STILLPOINT_PROGRESS names
// (docs/formats/jobs.md).
#pragma once

#include <chrono>
#include <string>

namespace stillpoint::app {

class Progress {
 public:
  explicit Progress(std::string what);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  // Cheap; call it as often as you like.
  void step(long long count);

 private:
  using Clock = std::chrono::steady_clock;
  void note(long long count) const;

  std::string what_;
  Clock::time_point started_, last_;
  bool terminal_ = false;
  bool shown_ = false;
  int file_ = -1;  // -1: nobody asked
};

}  // namespace stillpoint::app
