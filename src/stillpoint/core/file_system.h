// The files that the archive needs, as an interface: the real one is in
// stillpoint/archive/posix_file_system.h, and a fake one can fail at every call
// and lose power. Calls do what the system calls of their names do and no more:
// a write may be short, every call may be interrupted, and nothing is lasting
// before the sync that covers it has succeeded.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <tl/expected.hpp>
#include <variant>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"

namespace stillpoint {

enum class FileFault : std::uint8_t {
  kInterrupted,  // nothing was done; may be called again
  kNoSpace,      // full, or over a quota
  kNotFound,
  kExists,
  kDevice,  // the device failed (EIO)
  kOther,
};

struct FileError {
  FileFault fault = FileFault::kOther;
  std::string what;  // the system's words, e.g. "Input/output error"
  std::string path;

  [[nodiscard]] Error error() const {
    return Error{ErrorCode::kIo, what, path, {}};
  }
};

template <class T>
using FileResult = tl::expected<T, FileError>;
using FileStatus = FileResult<std::monostate>;

// An open file; closed when it goes. Closing writes nothing and reports
// nothing: what must last is synced before.
class OpenFile {
 public:
  OpenFile() = default;
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  OpenFile(OpenFile&&) = delete;
  OpenFile& operator=(OpenFile&&) = delete;
  virtual ~OpenFile() = default;

  // Writes at the end; how many of the bytes were taken, at least one.
  virtual FileResult<std::size_t> append(ByteSpan bytes) = 0;
  // Writes at an offset; how many of the bytes were taken.
  virtual FileResult<std::size_t> pwrite(std::uint64_t offset,
                                         ByteSpan bytes) = 0;
  // How many bytes were read; 0 at the end of the file.
  virtual FileResult<std::size_t> read(std::uint64_t offset,
                                       std::span<std::uint8_t> into) = 0;
  // After a failure the same pages may be lost and yet count as written: a
  // second call that succeeds proves nothing.
  virtual FileStatus fdatasync() = 0;
  virtual FileResult<std::uint64_t> size() = 0;
};

struct DirectoryEntry {
  std::string name;
  bool directory = false;
};

class FileSystem {
 public:
  FileSystem() = default;
  FileSystem(const FileSystem&) = delete;
  FileSystem& operator=(const FileSystem&) = delete;
  FileSystem(FileSystem&&) = delete;
  FileSystem& operator=(FileSystem&&) = delete;
  virtual ~FileSystem() = default;

  // An existing file, for reading and pwrite.
  virtual FileResult<std::unique_ptr<OpenFile>> open(
      const std::string& path) = 0;
  // A new file; kExists where there is one.
  virtual FileResult<std::unique_ptr<OpenFile>> create(
      const std::string& path) = 0;
  // One folder in an existing one; kExists where there is one.
  virtual FileStatus make_directory(const std::string& path) = 0;
  // Makes names given to and taken from files in this folder last.
  virtual FileStatus fsync_directory(const std::string& path) = 0;
  // Replaces a file of the new name in one step.
  virtual FileStatus rename(const std::string& from, const std::string& to) = 0;
  // A file or an empty folder.
  virtual FileStatus remove(const std::string& path) = 0;
  // In no order, without "." and "..".
  virtual FileResult<std::vector<DirectoryEntry>> list(
      const std::string& path) = 0;
  virtual FileResult<std::uint64_t> size(const std::string& path) = 0;
};

}  // namespace stillpoint
