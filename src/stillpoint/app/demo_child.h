// One of the program's own verbs as a process of its own. It never outlives
// the demo: the destructor ends it, and so does the system where the demo is
// killed.
#pragma once

#include <sys/types.h>

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

class DemoChild {
 public:
  //   words      the verb and its options
  //   out, log   files for its stdout and stderr; stdout's may be read by its
  //              owner only, as an answer may hold a secret
  //   errors     kIo
  static Result<DemoChild> start(const std::vector<std::string>& words,
                                 const std::string& out,
                                 const std::string& log);

  DemoChild(DemoChild&& other) noexcept;
  DemoChild& operator=(DemoChild&& other) noexcept;
  DemoChild(const DemoChild&) = delete;
  DemoChild& operator=(const DemoChild&) = delete;
  ~DemoChild();

  // Its exit code once it has ended, 128 and the signal's number where one
  // ended it; does not wait.
  std::optional<int> ended();
  // SIGTERM: the verbs then close what is open.
  void tell_to_end();

 private:
  explicit DemoChild(pid_t pid) : pid_(pid) {}
  void put_away();

  pid_t pid_ = -1;  // -1: nobody
  std::optional<int> code_;
};

}  // namespace stillpoint::app
