#include "stillpoint/app/demo_child.h"

#include <fcntl.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>
#include <thread>
#include <utility>

namespace stillpoint::app {
namespace {

constexpr auto kLook = std::chrono::milliseconds{10};
constexpr int kLooksBeforeKill = 1000;  // ten seconds
constexpr int kCannotStart = 127;       // as shells say it
constexpr int kBySignal = 128;          // likewise
constexpr unsigned kFirstInherited = 3;

// A file of the parent's, closed at the end of the scope.
class Descriptor {
 public:
  Descriptor(const char* path, int flags)
      : number_(::open(path, flags | O_CLOEXEC, 0600)) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (number_ >= 0) {
      ::close(number_);
    }
  }
  [[nodiscard]] int number() const { return number_; }

 private:
  int number_;
};

// Behind fork(): nothing but calls of the system.
[[noreturn]] void become(char* const* words,
                         const std::array<int, 3>& files,
                         pid_t parent) {
  // Ctrl-C of a terminal reaches the demo alone, which then ends its children
  // in the right order.
  ::setpgid(0, 0);
  ::prctl(PR_SET_PDEATHSIG, SIGTERM);
  if (::getppid() != parent) {
    ::_exit(kCannotStart);
  }
  for (int i = 0; i < 3; ++i) {
    ::dup2(files[static_cast<std::size_t>(i)], i);
  }
  ::close_range(kFirstInherited, ~0U, 0);
  sigset_t none;
  ::sigemptyset(&none);
  ::sigprocmask(SIG_SETMASK, &none, nullptr);
  ::execv("/proc/self/exe", words);
  ::_exit(kCannotStart);
}

tl::unexpected<Error> trouble(const std::string& what,
                              const std::string& where) {
  return fail(ErrorCode::kIo, what + ": " + std::strerror(errno), where);
}

}  // namespace

Result<DemoChild> DemoChild::start(const std::vector<std::string>& words,
                                   const std::string& out,
                                   const std::string& log) {
  const Descriptor input("/dev/null", O_RDONLY);
  const Descriptor output(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC);
  if (output.number() < 0) {
    return trouble("cannot be written", out);
  }
  const Descriptor errors(log.c_str(), O_WRONLY | O_CREAT | O_APPEND);
  if (errors.number() < 0) {
    return trouble("cannot be written", log);
  }
  std::vector<std::string> all = words;
  all.insert(all.begin(), "stillpoint");
  std::vector<char*> pointers;
  pointers.reserve(all.size() + 1);
  for (std::string& word : all) {
    pointers.push_back(word.data());
  }
  pointers.push_back(nullptr);
  const pid_t parent = ::getpid();
  const pid_t pid = ::fork();
  if (pid < 0) {
    return trouble("no process can be started", words.front());
  }
  if (pid == 0) {
    become(pointers.data(),
           {input.number(), output.number(), errors.number()},
           parent);
  }
  return DemoChild(pid);
}

DemoChild::DemoChild(DemoChild&& other) noexcept
    : pid_(std::exchange(other.pid_, -1)), code_(other.code_) {}

DemoChild& DemoChild::operator=(DemoChild&& other) noexcept {
  if (this != &other) {
    put_away();
    pid_ = std::exchange(other.pid_, -1);
    code_ = other.code_;
  }
  return *this;
}

DemoChild::~DemoChild() {
  put_away();
}

std::optional<int> DemoChild::ended() {
  int status = 0;
  if (pid_ > 0 && !code_ && ::waitpid(pid_, &status, WNOHANG) == pid_) {
    code_ =
        WIFEXITED(status) ? WEXITSTATUS(status) : kBySignal + WTERMSIG(status);
  }
  return code_;
}

void DemoChild::tell_to_end() {
  // Once it has been waited for, its number may be another's.
  if (pid_ > 0 && !ended()) {
    ::kill(pid_, SIGTERM);
  }
}

void DemoChild::put_away() {
  if (pid_ <= 0) {
    return;
  }
  tell_to_end();
  for (int i = 0; !ended() && i < kLooksBeforeKill; ++i) {
    std::this_thread::sleep_for(kLook);
  }
  if (!ended()) {
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
  }
  pid_ = -1;
}

}  // namespace stillpoint::app
