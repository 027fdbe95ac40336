#include "stillpoint/station/child_process.h"

#include <fcntl.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <string_view>
#include <thread>
#include <utility>

#include "stillpoint/station/clock.h"

namespace stillpoint::station {
namespace {

constexpr auto kLook = std::chrono::milliseconds{10};
constexpr unsigned kFirstInherited = 3;
constexpr int kNiceness = 10;
constexpr rlim_t kGraceS = 5;                     // from SIGXCPU to SIGKILL
constexpr std::string_view kFirstToGo = "800\n";  // of -1000 .. 1000
// Of <linux/ioprio.h>: this process, class "idle".
constexpr int kOfProcess = 1;
constexpr int kIdle = 3 << 13;

// A file of ours, closed at the end of the scope.
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

struct Limit {
  bool given = false;
  rlimit value{};
};

// No more than what we have ourselves.
Limit limit_of(__rlimit_resource resource,
               std::optional<std::uint64_t> most,
               rlim_t grace) {
  Limit limit;
  if (!most || ::getrlimit(resource, &limit.value) != 0) {
    return limit;
  }
  const rlim_t hard = limit.value.rlim_max;
  limit.given = true;
  limit.value.rlim_cur = std::min<rlim_t>(hard, *most);
  limit.value.rlim_max = std::min<rlim_t>(hard, *most + grace);
  return limit;
}

// All that is needed behind fork(), made before it.
struct Prepared {
  const char* program = nullptr;
  const char* folder = nullptr;  // nullptr: stays where it is
  char* const* words = nullptr;
  char* const* environment = nullptr;
  std::array<int, 3> files{};
  pid_t parent = 0;
  bool behind = false;
  Limit memory, processor;
};

void step_back() {
  ::setpriority(PRIO_PROCESS, 0, kNiceness);
  ::syscall(SYS_ioprio_set, kOfProcess, 0, kIdle);
  const int file = ::open("/proc/self/oom_score_adj", O_WRONLY | O_CLOEXEC);
  if (file >= 0) {
    [[maybe_unused]] const ssize_t written =
        ::write(file, kFirstToGo.data(), kFirstToGo.size());
    ::close(file);
  }
}

// Behind fork(), where another thread may have held any lock: nothing but calls
// of the system.
[[noreturn]] void become(const Prepared& p) {
  ::setpgid(0, 0);
  ::prctl(PR_SET_PDEATHSIG, SIGTERM);
  if (::getppid() != p.parent ||
      (p.folder != nullptr && ::chdir(p.folder) != 0)) {
    ::_exit(ChildProcess::kCannotStart);
  }
  for (int i = 0; i < 3; ++i) {
    ::dup2(p.files[static_cast<std::size_t>(i)], i);
  }
  ::close_range(kFirstInherited, ~0U, 0);
  if (p.behind) {
    step_back();
  }
  if (p.memory.given) {
    ::setrlimit(RLIMIT_DATA, &p.memory.value);
  }
  if (p.processor.given) {
    ::setrlimit(RLIMIT_CPU, &p.processor.value);
  }
  sigset_t none;
  ::sigemptyset(&none);
  ::sigprocmask(SIG_SETMASK, &none, nullptr);
  ::execve(p.program, p.words, p.environment);
  ::_exit(ChildProcess::kCannotStart);
}

tl::unexpected<Error> trouble(const std::string& what,
                              const std::string& where) {
  return fail(ErrorCode::kIo, what + ": " + std::strerror(errno), where);
}

std::vector<char*> pointers_to(std::vector<std::string>& texts) {
  std::vector<char*> pointers;
  pointers.reserve(texts.size() + 1);
  for (std::string& text : texts) {
    pointers.push_back(text.data());
  }
  pointers.push_back(nullptr);
  return pointers;
}

std::vector<std::string> environment_with(
    const std::vector<std::string>& more) {
  std::vector<std::string> all = more;
  for (char** entry = ::environ; entry != nullptr && *entry != nullptr;
       ++entry) {
    const std::string_view text(*entry);
    const std::string_view name = text.substr(0, text.find('=') + 1);
    const bool replaced =
        std::any_of(more.begin(), more.end(), [&](const std::string& m) {
          return !name.empty() && m.starts_with(name);
        });
    if (!replaced) {
      all.emplace_back(text);
    }
  }
  return all;
}

}  // namespace

Result<ChildProcess> ChildProcess::start(const ChildOptions& options) {
  if (::access(options.program.c_str(), X_OK) != 0) {
    return trouble("cannot be run", options.program);
  }
  const Descriptor input("/dev/null", O_RDONLY);
  const Descriptor output(options.out.c_str(), O_WRONLY | O_CREAT | O_TRUNC);
  if (output.number() < 0) {
    return trouble("cannot be written", options.out);
  }
  const Descriptor errors(options.log.c_str(), O_WRONLY | O_CREAT | O_APPEND);
  if (errors.number() < 0) {
    return trouble("cannot be written", options.log);
  }
  std::vector<std::string> words = options.words;
  words.insert(words.begin(), "stillpoint");
  const std::vector<char*> word_pointers = pointers_to(words);
  std::vector<std::string> environment = environment_with(options.environment);
  const std::vector<char*> environment_pointers = pointers_to(environment);
  Prepared p;
  p.program = options.program.c_str();
  p.folder = options.folder.empty() ? nullptr : options.folder.c_str();
  p.words = word_pointers.data();
  p.environment = environment_pointers.data();
  p.files = {input.number(), output.number(), errors.number()};
  p.parent = ::getpid();
  p.behind = options.behind;
  p.memory = limit_of(RLIMIT_DATA, options.memory_bytes, 0);
  p.processor = limit_of(RLIMIT_CPU, options.processor_s, kGraceS);
  const pid_t pid = ::fork();
  if (pid < 0) {
    return trouble("no process can be started", options.program);
  }
  if (pid == 0) {
    become(p);
  }
  // Here too: the group is there for stop(), whoever runs first.
  ::setpgid(pid, pid);
  return ChildProcess(pid, options.patience);
}

ChildProcess::ChildProcess(ChildProcess&& other) noexcept
    : pid_(std::exchange(other.pid_, -1)),
      patience_(other.patience_),
      kill_at_(other.kill_at_),
      code_(other.code_) {}

ChildProcess& ChildProcess::operator=(ChildProcess&& other) noexcept {
  if (this != &other) {
    put_away();
    pid_ = std::exchange(other.pid_, -1);
    patience_ = other.patience_;
    kill_at_ = other.kill_at_;
    code_ = other.code_;
  }
  return *this;
}

ChildProcess::~ChildProcess() {
  put_away();
}

std::optional<int> ChildProcess::ended() {
  if (pid_ <= 0 || code_) {
    return code_;
  }
  // Looked at before it is waited for: until then its number is nobody else's,
  // and neither is that of its group.
  siginfo_t info{};
  if (::waitid(
          P_PID, static_cast<id_t>(pid_), &info, WEXITED | WNOHANG | WNOWAIT) !=
          0 ||
      info.si_pid != pid_) {
    if (kill_at_ && steady_now() >= *kill_at_) {
      ::kill(-pid_, SIGKILL);
    }
    return std::nullopt;
  }
  ::kill(-pid_, SIGKILL);  // what it has left behind
  int status = 0;
  if (::waitpid(pid_, &status, 0) == pid_) {
    code_ =
        WIFEXITED(status) ? WEXITSTATUS(status) : kBySignal + WTERMSIG(status);
  }
  return code_;
}

void ChildProcess::stop() {
  if (pid_ <= 0 || kill_at_ || ended()) {
    return;
  }
  kill_at_ = steady_now() + patience_;
  ::kill(-pid_, SIGTERM);
}

void ChildProcess::put_away() {
  if (pid_ <= 0) {
    return;
  }
  stop();
  while (!ended()) {
    std::this_thread::sleep_for(kLook);
  }
  pid_ = -1;
}

}  // namespace stillpoint::station
