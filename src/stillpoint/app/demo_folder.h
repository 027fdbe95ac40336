// The folder of a demo: where everything lies, and whose it is.
#pragma once

#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

class DemoFolder {
 public:
  // Makes the folder, or takes one that is empty or a demo's own; what an
  // earlier demo left in that is deleted. Nobody else's files are touched.
  // Held until the end, so that no second demo works in it.
  //
  //   errors   kUsage for a folder with other things in it; kIo
  static Result<DemoFolder> take(const std::string& path);

  DemoFolder(DemoFolder&& other) noexcept;
  DemoFolder& operator=(DemoFolder&&) = delete;
  DemoFolder(const DemoFolder&) = delete;
  DemoFolder& operator=(const DemoFolder&) = delete;
  ~DemoFolder();

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string config() const { return path_ + "/station.toml"; }
  [[nodiscard]] std::string profile() const { return path_ + "/receiver.toml"; }
  [[nodiscard]] std::string state() const { return path_ + "/state"; }
  [[nodiscard]] std::string database() const { return state() + "/station.db"; }
  [[nodiscard]] std::string rinex() const { return path_ + "/rinex"; }
  [[nodiscard]] std::string products() const { return path_ + "/products"; }
  [[nodiscard]] std::string claim_code() const {
    return state() + "/claim-code";
  }
  [[nodiscard]] std::string logs() const { return path_ + "/logs"; }
  [[nodiscard]] std::string log_of(const std::string& name) const {
    return logs() + "/" + name + ".log";
  }
  [[nodiscard]] std::string position() const {
    return path_ + "/position.json";
  }
  [[nodiscard]] std::string password_of(const std::string& rover) const {
    return path_ + "/rovers/" + rover + ".password";
  }

 private:
  DemoFolder(std::string path, int lock)
      : path_(std::move(path)), lock_(lock) {}

  std::string path_;  // absolute
  int lock_ = -1;
};

}  // namespace stillpoint::app
