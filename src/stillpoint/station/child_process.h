// A program run as a process of its own, with limits: one of our verbs that
// computes or serves. It never outlives us: the destructor ends it, and so
// does the system where we are killed.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::station {

struct ChildOptions {
  std::string program = "/proc/self/exe";  // a path; this one: ourselves
  std::vector<std::string> words;          // behind the program's name
  std::string folder;                      // works in it; empty: ours
  // Files for stdout (made anew) and stderr (appended to). Only their owner may
  // read them, as an answer may hold a secret.
  std::string out, log;
  std::vector<std::string> environment = {};  // "NAME=VALUE", besides ours

  // Behind everything else: the processor at `niceness`, the disk when nobody
  // else wants it, the first to go where memory runs out. Where the system
  // refuses one of these, nothing is said.
  bool behind = false;
  // Most of its own memory (RLIMIT_DATA) and of processor time; beyond them it
  // fails, or is ended.
  std::optional<std::uint64_t> memory_bytes, processor_s;
  // Between asking it to end and killing it.
  std::chrono::nanoseconds patience = std::chrono::seconds{5};
};

// The process leads a group of its own, so that Ctrl-C of a terminal does not
// reach it; what it has started is in the group and ends with it.
//
//   threads  one at a time; start() in a thread that lives as long as the
//            process: the system ends it with the thread
class ChildProcess {
 public:
  static constexpr int kCannotStart = 127;  // exit code, as shells say it
  static constexpr int kBySignal = 128;     // and the signal's number

  //   errors   kIo: a file cannot be written, the program cannot be run
  static Result<ChildProcess> start(const ChildOptions& options);

  ChildProcess(ChildProcess&& other) noexcept;
  ChildProcess& operator=(ChildProcess&& other) noexcept;
  ChildProcess(const ChildProcess&) = delete;
  ChildProcess& operator=(const ChildProcess&) = delete;
  // stop(), and waits for it.
  ~ChildProcess();

  // Its exit code once it has ended, kBySignal and more where a signal ended
  // it; does not wait. Kills what does not end in time after stop().
  std::optional<int> ended();
  // Asks the whole group to end: our verbs then close what is open. Does not
  // wait; ended() does the rest.
  void stop();

  [[nodiscard]] pid_t id() const { return pid_; }  // -1: nobody

 private:
  ChildProcess(pid_t pid, std::chrono::nanoseconds patience)
      : pid_(pid), patience_(patience) {}
  void put_away();

  pid_t pid_ = -1;
  std::chrono::nanoseconds patience_{0};
  std::optional<std::chrono::nanoseconds> kill_at_;
  std::optional<int> code_;
};

}  // namespace stillpoint::station
