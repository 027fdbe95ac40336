// What the station's tests share: clocks that are set by hand, a log that can
// be read, folders that go away.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "stillpoint/core/log.h"
#include "stillpoint/station/clock.h"

namespace stillpoint::station::test {

// Both clocks go together, but for steps of the wall clock.
class HandClock {
 public:
  [[nodiscard]] Clocks clocks() {
    return {[this] {
              return GnssTime::from_ns(1'450'000'000'000'000'000 + wall_ns_);
            },
            [this] { return std::chrono::nanoseconds{steady_ns_}; }};
  }
  void advance(double seconds) {
    const auto ns = static_cast<std::int64_t>(seconds * 1e9);
    wall_ns_ += ns;
    steady_ns_ += ns;
  }
  void step_wall(double seconds) {
    wall_ns_ += static_cast<std::int64_t>(seconds * 1e9);
  }

 private:
  std::atomic<std::int64_t> wall_ns_ = 0, steady_ns_ = 1'000'000'000;
};

class LogLines final : public LogSink {
 public:
  void write(LogLevel /*level*/, std::string_view line) override {
    const std::lock_guard lock(mutex_);
    lines_.emplace_back(line);
  }
  [[nodiscard]] Logger logger() { return {*this, {}, LogLevel::kDebug}; }
  [[nodiscard]] int count(std::string_view part) const {
    const std::lock_guard lock(mutex_);
    int found = 0;
    for (const std::string& line : lines_) {
      found += line.find(part) != std::string::npos ? 1 : 0;
    }
    return found;
  }

 private:
  mutable std::mutex mutex_;
  std::vector<std::string> lines_;
};

class TempFolder {
 public:
  TempFolder() {
    std::string name =
        (std::filesystem::temp_directory_path() / "station-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  ~TempFolder() { std::filesystem::remove_all(path_); }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  [[nodiscard]] std::string operator/(const std::string& name) const {
    return path_ + "/" + name;
  }
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
};

// Waits for what another thread does; false after a minute, which fails the
// test and decides nothing else.
inline bool wait_until(const std::function<bool()>& done) {
  for (int i = 0; i < 12'000 && !done(); ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds{5});
  }
  return done();
}

}  // namespace stillpoint::station::test
