#include "stillpoint/app/demo_child.h"

#include <chrono>

namespace stillpoint::app {
namespace {

// A station writes its last bytes and lets its rovers go, on a busy computer
// too.
constexpr auto kPatience = std::chrono::seconds{60};

}  // namespace

Result<DemoChild> DemoChild::start(const std::vector<std::string>& words,
                                   const std::string& out,
                                   const std::string& log) {
  station::ChildOptions options;
  options.words = words;
  options.out = out;
  options.log = log;
  options.patience = kPatience;
  auto process = station::ChildProcess::start(options);
  if (!process) {
    return fail(std::move(process.error()));
  }
  return DemoChild(std::move(*process));
}

}  // namespace stillpoint::app
