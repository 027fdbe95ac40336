#include "stillpoint/station/worker.h"

#include <pthread.h>
#include <signal.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <utility>

namespace stillpoint::station {
namespace {

constexpr std::size_t kMostNameBytes = 15;  // the system's limit
constexpr int kExitSystem = 4;

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

Worker::Worker(std::string name, std::function<void()> work) {
  name.resize(std::min(name.size(), kMostNameBytes));
  thread_ = std::thread([name = std::move(name), work = std::move(work)] {
    block_signals();
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
