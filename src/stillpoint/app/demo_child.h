// One of the program's own verbs as a process of the demo's.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/station/child_process.h"

namespace stillpoint::app {

class DemoChild {
 public:
  //   words      the verb and its options
  //   out, log   as station::ChildOptions
  //   errors     kIo
  static Result<DemoChild> start(const std::vector<std::string>& words,
                                 const std::string& out,
                                 const std::string& log);

  // As station::ChildProcess.
  std::optional<int> ended() { return process_.ended(); }
  void tell_to_end() { process_.stop(); }

 private:
  explicit DemoChild(station::ChildProcess process)
      : process_(std::move(process)) {}

  station::ChildProcess process_;
};

}  // namespace stillpoint::app
