// The folder that a station keeps everything in, and the lock that keeps a
// second station out of it.
#pragma once

#include <string>
#include <utility>

#include "stillpoint/core/result.h"

namespace stillpoint::station {

class StateFolder {
 public:
  // Makes the folder (not its parents), "raw" and "keys" in it, where they are
  // missing, and takes the lock.
  //
  //   errors   kIo: cannot be made or written; kUsage: another station has it
  static Result<StateFolder> open(const std::string& path);

  StateFolder(StateFolder&& other) noexcept;
  StateFolder& operator=(StateFolder&&) = delete;
  StateFolder(const StateFolder&) = delete;
  StateFolder& operator=(const StateFolder&) = delete;
  ~StateFolder();

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string raw() const { return path_ + "/raw"; }
  [[nodiscard]] std::string keys() const { return path_ + "/keys"; }
  [[nodiscard]] std::string claim() const { return path_ + "/claim-code"; }
  [[nodiscard]] std::string jobs() const { return path_ + "/jobs"; }
  [[nodiscard]] std::string products() const { return path_ + "/products"; }
  [[nodiscard]] std::string database() const { return path_ + "/station.db"; }

 private:
  StateFolder(std::string path, int lock)
      : path_(std::move(path)), lock_(lock) {}

  std::string path_;
  int lock_ = -1;  // held while open; the system frees it at the end
};

}  // namespace stillpoint::station
