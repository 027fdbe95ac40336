// Files in memory for tests: a chosen call fails, and at a power cut what no
// successful sync covers is kept, dropped or torn, names included. What a
// failed sync leaves is in fake_inode.h.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "stillpoint/archive/fake_inode.h"
#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

enum class CallKind : std::uint8_t {
  kOpen,
  kCreate,
  kWrite,
  kRead,
  kSync,
  kSyncFolder,
  kRename,
  kRemove,
  kMakeFolder,
  kList,
  kSize,
};

enum class FaultKind : std::uint8_t {
  kDevice,
  kNoSpace,
  kShortWrite,
  kInterrupted,
  kSyncFails,
  kPowerCut,
  kReadOnly,
};
// Whether such a call can fail like this.
bool can_fail(CallKind call, FaultKind fault);

class FakeFileSystem final : public FileSystem {
 public:
  explicit FakeFileSystem(std::uint64_t seed = 1) : random_(seed) {}

  // The n-th call from now on (0 is the next) fails, once or from then on.
  void fail_at(std::size_t n, FaultKind fault, bool lasting);
  void repair();  // no more failures; call numbers begin at 0
  [[nodiscard]] bool off() const { return off_; }
  // The power comes back.
  void restart();
  // What is left if the power goes now and nothing unsynced survives.
  [[nodiscard]] std::unique_ptr<FakeFileSystem> after_worst_cut() const;
  SyncFailure sync_failure;       // how FaultKind::kSyncFails fails
  std::function<void()> on_sync;  // at each that works; e.g. time goes by

  // Kinds of the calls since repair() or the start.
  [[nodiscard]] const std::vector<CallKind>& calls() const { return calls_; }
  [[nodiscard]] std::uint64_t bytes_written() const { return bytes_written_; }
  // Bytes of the 4 KiB pages that the successful syncs wrote.
  [[nodiscard]] std::uint64_t page_bytes() const { return page_bytes_; }
  [[nodiscard]] std::vector<std::string> paths() const;
  // For damage by hand; the file is there. Counts as synced.
  [[nodiscard]] std::vector<std::uint8_t> content(
      const std::string& path) const;
  void set_content(const std::string& path, std::vector<std::uint8_t> bytes);
  // No read that touches these bytes of the file succeeds any more.
  void make_unreadable(const std::string& path,
                       std::size_t from,
                       std::size_t to);

  FileResult<std::unique_ptr<OpenFile>> open(const std::string& path) override;
  FileResult<std::unique_ptr<OpenFile>> create(
      const std::string& path) override;
  FileStatus make_directory(const std::string& path) override;
  FileStatus fsync_directory(const std::string& path) override;
  FileStatus rename(const std::string& from, const std::string& to) override;
  FileStatus remove(const std::string& path) override;
  FileResult<std::vector<DirectoryEntry>> list(
      const std::string& path) override;
  FileResult<std::uint64_t> size(const std::string& path) override;

 private:
  friend class FakeFile;
  using Names =
      std::map<std::string, std::shared_ptr<FakeInode>>;  // null: folder
  struct NameChange {
    std::string folder, from, to;
    std::shared_ptr<FakeInode> inode;  // for a new name
    bool fresh = false, gone = false;
  };

  // Nothing where the call goes on; a short write says so by `shorter`.
  std::optional<FileError> begin(CallKind kind,
                                 const std::string& path,
                                 bool* shorter = nullptr);
  FileResult<std::size_t> write(FakeInode& inode,
                                const std::string& path,
                                std::optional<std::uint64_t> offset,
                                ByteSpan bytes);
  FileStatus sync(FakeInode& inode, const std::string& path);
  static void apply(const NameChange& change, Names& names);

  std::mt19937_64 random_;
  Names now_, synced_;
  std::vector<NameChange> changes_;
  std::vector<CallKind> calls_;
  std::optional<std::size_t> fail_at_;
  FaultKind fault_ = FaultKind::kDevice;
  bool lasting_ = false, off_ = false;
  std::uint64_t bytes_written_ = 0, page_bytes_ = 0;
};

}  // namespace stillpoint::archive
