// What every part of the demo stands on: the loop, Ctrl-C, the folder, and the
// program's own verbs to be run.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "stillpoint/app/demo_child.h"
#include "stillpoint/app/demo_folder.h"
#include "stillpoint/core/result.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::app {

class DemoStage {
 public:
  explicit DemoStage(DemoFolder folder);

  [[nodiscard]] net::Loop& loop() { return loop_; }
  [[nodiscard]] const DemoFolder& folder() const { return folder_; }
  // Somebody pressed Ctrl-C; every wait() then fails.
  [[nodiscard]] bool interrupted() const { return interrupted_; }

  // Works on the loop until `done` says so.
  //
  //   what     for the error: "the station opens its ports"
  //   check    looked at as well; its error ends the wait
  //   errors   kIo after longest_s, or interrupted
  Status wait(const char* what,
              double longest_s,
              const std::function<bool()>& done,
              const std::function<Status()>& check = {});

  // Begins a verb; its stderr goes to logs/NAME.log.
  //
  //   out      for its stdout; empty: to the log's folder, NAME.out
  Result<DemoChild> begin(const std::string& name,
                          const std::vector<std::string>& words,
                          const std::string& out = {});
  // Runs one to its end.
  //
  //   returns  its exit code
  Result<int> run(const std::string& name,
                  const std::vector<std::string>& words,
                  const std::string& out);
  // One that ended as it should not: with the last line of its log.
  [[nodiscard]] Error went_wrong(const std::string& name, int code) const;

 private:
  net::Loop loop_;
  const DemoFolder folder_;
  bool interrupted_ = false;
};

}  // namespace stillpoint::app
