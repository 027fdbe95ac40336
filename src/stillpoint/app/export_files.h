// The files of an export: where they go, how large they became, and whether it
// was their writing that failed.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <utility>

#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::app {

struct WrittenFile {
  std::string path;
  std::uint64_t bytes = 0;  // on the disk
  std::string sha256;
};

class ExportFiles {
 public:
  // Makes the folder, and those above it, where they are missing.
  //
  //   errors   kIo
  static Result<ExportFiles> in(std::string folder, bool gzip);

  // Opens a file below the folder; it has its final name once it is closed.
  Result<std::unique_ptr<ByteSink>> open(const std::string& name);
  // A call on one of the files failed: the disk's fault, not the recording's.
  [[nodiscard]] bool failed() const { return *failed_; }
  // Of a file that is closed.
  //
  //   errors   kIo
  [[nodiscard]] Result<WrittenFile> written(const std::string& name) const;

 private:
  ExportFiles(std::string folder, bool gzip)
      : folder_(std::move(folder)), gzip_(gzip) {}
  [[nodiscard]] std::string path_of(const std::string& name) const;

  std::string folder_;
  bool gzip_;
  // Shared with the sinks.
  std::shared_ptr<bool> failed_ = std::make_shared<bool>(false);
};

}  // namespace stillpoint::app
