#include "stillpoint/app/progress.h"

#include <unistd.h>

#include <cstdlib>
#include <string_view>
#include <utility>

#include "stillpoint/app/output.h"

namespace stillpoint::app {
namespace {

using std::chrono::milliseconds;
constexpr milliseconds kPatience{2000};
constexpr milliseconds kBetween{200};

bool is_animated() {
  const char* term = std::getenv("TERM");
  return isatty(STDERR_FILENO) == 1 && std::getenv("NO_COLOR") == nullptr &&
         (term == nullptr || std::string_view(term) != "dumb");
}

}  // namespace

Progress::Progress(std::string what)
    : what_(std::move(what)),
      started_(Clock::now()),
      last_(started_),
      terminal_(is_animated()) {}

Progress::~Progress() {
  if (shown_) {
    print_note("\r" + std::string(what_.size() + 24, ' ') + "\r");
  }
}

void Progress::step(long long count) {
  if (!terminal_ || count % 64 != 0) {
    return;
  }
  const auto now = Clock::now();
  if (now - started_ < kPatience || now - last_ < kBetween) {
    return;
  }
  last_ = now;
  shown_ = true;
  print_note("\r" + what_ + ": " + std::to_string(count) + " epochs");
}

}  // namespace stillpoint::app
