#include "stillpoint/app/progress.h"

#include <fcntl.h>
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
// A line of the file is as long as the longest, so that it is replaced whole.
constexpr std::size_t kLineBytes = 64;

bool is_animated() {
  const char* term = std::getenv("TERM");
  return isatty(STDERR_FILENO) == 1 && std::getenv("NO_COLOR") == nullptr &&
         (term == nullptr || std::string_view(term) != "dumb");
}

int open_progress_file() {
  const char* path = std::getenv("STILLPOINT_PROGRESS");
  return path == nullptr || *path == '\0'
             ? -1
             : ::open(path, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
}

}  // namespace

Progress::Progress(std::string what)
    : what_(std::move(what)),
      started_(Clock::now()),
      last_(started_),
      terminal_(is_animated()),
      file_(open_progress_file()) {
  note(0);
}

Progress::~Progress() {
  if (shown_) {
    print_note("\r" + std::string(what_.size() + 24, ' ') + "\r");
  }
  if (file_ >= 0) {
    ::close(file_);
  }
}

// What cannot be written is not missed: it is for show.
void Progress::note(long long count) const {
  if (file_ < 0) {
    return;
  }
  std::string line = std::to_string(count) + " " + what_;
  line.resize(kLineBytes - 1, ' ');
  line += '\n';
  [[maybe_unused]] const ssize_t written =
      ::pwrite(file_, line.data(), line.size(), 0);
}

void Progress::step(long long count) {
  if ((!terminal_ && file_ < 0) || count % 64 != 0) {
    return;
  }
  const auto now = Clock::now();
  if (now - last_ < kBetween) {
    return;
  }
  last_ = now;
  note(count);
  if (!terminal_ || now - started_ < kPatience) {
    return;
  }
  shown_ = true;
  print_note("\r" + what_ + ": " + std::to_string(count) + " epochs");
}

}  // namespace stillpoint::app
