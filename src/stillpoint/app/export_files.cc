#include "stillpoint/app/export_files.h"

#include <filesystem>
#include <system_error>

#include "stillpoint/pack/digest.h"

namespace stillpoint::app {
namespace {

constexpr const char* kRemedy =
    "give --out a folder that this user may write to, on a disk with room";

// Notes that the disk failed.
class WatchedSink final : public ByteSink {
 public:
  WatchedSink(std::unique_ptr<ByteSink> next, std::shared_ptr<bool> failed)
      : next_(std::move(next)), failed_(std::move(failed)) {}
  Status write(std::string_view bytes) override {
    return note(next_->write(bytes));
  }
  Status close() override { return note(next_->close()); }

 private:
  Status note(Status status) {
    *failed_ = *failed_ || !status;
    return status;
  }
  std::unique_ptr<ByteSink> next_;
  std::shared_ptr<bool> failed_;
};

}  // namespace

Result<ExportFiles> ExportFiles::in(std::string folder, bool gzip) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (!std::filesystem::is_directory(folder)) {
    return fail(ErrorCode::kIo,
                "the folder cannot be made: " +
                    (error ? error.message()
                           : std::string("a file of its name is there")),
                std::move(folder),
                kRemedy);
  }
  return ExportFiles(std::move(folder), gzip);
}

std::string ExportFiles::path_of(const std::string& name) const {
  return (std::filesystem::path(folder_) / name).string();
}

Result<std::unique_ptr<ByteSink>> ExportFiles::open(const std::string& name) {
  auto file = file_sink(path_of(name));
  if (!file) {
    *failed_ = true;
    Error error = std::move(file.error());
    error.remedy = kRemedy;
    return fail(std::move(error));
  }
  std::unique_ptr<ByteSink> sink =
      std::make_unique<WatchedSink>(std::move(*file), failed_);
  return gzip_ ? gzip_sink(std::move(sink)) : std::move(sink);
}

Result<WrittenFile> ExportFiles::written(const std::string& name) const {
  WrittenFile file;
  file.path = path_of(name);
  std::error_code error;
  file.bytes = std::filesystem::file_size(file.path, error);
  auto digest = sha256_of_file(file.path);
  if (error || !digest) {
    return fail(
        ErrorCode::kIo, "the file that was written cannot be read", file.path);
  }
  file.sha256 = std::move(*digest);
  return file;
}

}  // namespace stillpoint::app
