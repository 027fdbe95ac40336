#include "stillpoint/station/worker.h"

#include <pthread.h>
#include <signal.h>
#include <sys/resource.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <utility>

namespace stillpoint::station {
namespace {

constexpr std::size_t kMostNameBytes = 15;  // the system's limit
constexpr int kExitSystem = 4;
constexpr int kBehindNiceness = 5;

[[noreturn]] void end_program(const std::string& name, const char* why) {
  std::fprintf(stderr, "stillpoint: thread %s: %s\n", name.c_str(), why);
  std::_Exit(kExitSystem);
}

void guarded(const std::string& name, const std::function<void()>& work) {
  try {
    work();
  } catch (const std::exception& e) {
    end_program(name, e.what());
  } catch (...) {
    end_program(name, "unknown exception");
  }
}

// Signals are the control thread's alone.
void block_signals() {
  sigset_t all;
  sigfillset(&all);
  pthread_sigmask(SIG_BLOCK, &all, nullptr);
}

}  // namespace

Worker::Worker(std::string name, Rank rank, std::function<void()> work) {
  name.resize(std::min(name.size(), kMostNameBytes));
  thread_ = std::thread([name = std::move(name), rank, work = std::move(work)] {
    block_signals();
    if (rank == Rank::kBehind) {
      // Of this thread alone (Linux); where it is refused nothing is lost.
      ::setpriority(PRIO_PROCESS, 0, kBehindNiceness);
    }
    pthread_setname_np(pthread_self(), name.c_str());
    guarded(name, work);
  });
}

Worker::~Worker() {
  join();
}

void Worker::join() {
  if (thread_.joinable()) {
    thread_.join();
  }
}

}  // namespace stillpoint::station
