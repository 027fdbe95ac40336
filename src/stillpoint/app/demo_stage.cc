#include "stillpoint/app/demo_stage.h"

#include <fmt/format.h>

#include <chrono>
#include <fstream>
#include <optional>
#include <string_view>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::app {
namespace {

constexpr auto kTurn = std::chrono::milliseconds{20};
constexpr double kVerbS = 600;
constexpr std::size_t kMostLog = std::size_t{64} << 20U;

// What the verb said of its error; else the last line.
std::string last_words(const std::string& path) {
  constexpr std::string_view kError = "stillpoint: ";
  const auto text = station::read_small_file(path, kMostLog);
  std::string_view rest = text ? trim_right(*text) : std::string_view{};
  std::string_view last, error;
  while (!rest.empty()) {
    const auto end = rest.find('\n');
    last = rest.substr(0, end);
    rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
    if (last.starts_with(kError)) {
      error = last.substr(kError.size());
    }
  }
  return std::string(error.empty() ? last : error);
}

}  // namespace

DemoStage::DemoStage(DemoFolder folder) : folder_(std::move(folder)) {
  loop_.on_interrupt([this] {
    interrupted_ = true;
    loop_.stop();
  });
}

Status DemoStage::wait(const char* what,
                       double longest_s,
                       const std::function<bool()>& done,
                       const std::function<Status()>& check) {
  using Clock = std::chrono::steady_clock;
  const auto end = Clock::now() + std::chrono::duration<double>(longest_s);
  while (true) {
    if (interrupted_) {
      return fail(ErrorCode::kIo, "interrupted");
    }
    if (done()) {
      return ok();
    }
    if (check) {
      if (auto good = check(); !good) {
        return good;
      }
    }
    if (Clock::now() >= end) {
      return fail(
          ErrorCode::kIo,
          fmt::format("waited {:g} s in vain until {}", longest_s, what),
          folder_.logs(),
          "see the logs there; a busy computer may need a lower "
          "--speed");
    }
    loop_.run_for(kTurn);
  }
}

Result<DemoChild> DemoStage::begin(const std::string& name,
                                   const std::vector<std::string>& words,
                                   const std::string& out) {
  const std::string log = folder_.log_of(name);
  std::ofstream head(log, std::ios::app);
  head << "simulated: stillpoint " << words.front() << '\n';
  head.close();
  return DemoChild::start(
      words, out.empty() ? folder_.logs() + "/" + name + ".out" : out, log);
}

Result<int> DemoStage::run(const std::string& name,
                           const std::vector<std::string>& words,
                           const std::string& out) {
  auto child = begin(name, words, out);
  if (!child) {
    return fail(std::move(child.error()));
  }
  const std::string what = fmt::format("{} has ended", words.front());
  std::optional<int> code;
  auto ended = wait(what.c_str(), kVerbS, [&] {
    code = child->ended();
    return code.has_value();
  });
  if (!ended) {
    return fail(std::move(ended.error()));
  }
  return *code;
}

Error DemoStage::went_wrong(const std::string& name, int code) const {
  const std::string log = folder_.log_of(name);
  return {ErrorCode::kIo,
          fmt::format("{} ended with {}: {}", name, code, last_words(log)),
          log,
          "see the whole of that file"};
}

}  // namespace stillpoint::app
