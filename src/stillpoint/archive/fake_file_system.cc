#include "stillpoint/archive/fake_file_system.h"

#include <algorithm>
#include <set>
#include <utility>

#include "stillpoint/archive/file_steps.h"

namespace stillpoint::archive {
namespace {

FileError error_of(FileFault fault, const std::string& path) {
  return FileError{fault, "made to fail", path};
}

tl::unexpected<FileError> missing(const std::string& path) {
  return tl::unexpected<FileError>(error_of(FileFault::kNotFound, path));
}

}  // namespace

bool can_fail(CallKind call, FaultKind fault) {
  const bool sync = call == CallKind::kSync || call == CallKind::kSyncFolder;
  switch (fault) {
    case FaultKind::kNoSpace:
      return sync || call == CallKind::kCreate || call == CallKind::kWrite ||
             call == CallKind::kRename || call == CallKind::kMakeFolder;
    case FaultKind::kShortWrite:
      return call == CallKind::kWrite;
    case FaultKind::kSyncFails:
      return sync;
    case FaultKind::kReadOnly:
      return call == CallKind::kCreate || call == CallKind::kWrite ||
             call == CallKind::kRename || call == CallKind::kRemove ||
             call == CallKind::kMakeFolder;
    case FaultKind::kDevice:
    case FaultKind::kInterrupted:
    case FaultKind::kPowerCut:
      return true;
  }
  return false;
}

class FakeFile final : public OpenFile {
 public:
  FakeFile(FakeFileSystem& files,
           std::shared_ptr<FakeInode> inode,
           std::string path)
      : files_(files), inode_(std::move(inode)), path_(std::move(path)) {}
  FileResult<std::size_t> append(ByteSpan bytes) override {
    return files_.write(*inode_, path_, std::nullopt, bytes);
  }
  FileResult<std::size_t> pwrite(std::uint64_t offset,
                                 ByteSpan bytes) override {
    return files_.write(*inode_, path_, offset, bytes);
  }
  FileResult<std::size_t> read(std::uint64_t offset,
                               std::span<std::uint8_t> into) override {
    if (auto error = files_.begin(CallKind::kRead, path_)) {
      return tl::unexpected<FileError>(*error);
    }
    const auto count = inode_->read(static_cast<std::size_t>(offset), into);
    if (!count) {
      return tl::unexpected<FileError>(error_of(FileFault::kDevice, path_));
    }
    return *count;
  }
  FileStatus fdatasync() override { return files_.sync(*inode_, path_); }
  FileResult<std::uint64_t> size() override {
    if (auto error = files_.begin(CallKind::kSize, path_)) {
      return tl::unexpected<FileError>(*error);
    }
    return std::uint64_t{inode_->now().size()};
  }

 private:
  FakeFileSystem& files_;
  std::shared_ptr<FakeInode> inode_;
  std::string path_;
};

void FakeFileSystem::fail_at(std::size_t n, FaultKind fault, bool lasting) {
  calls_.clear();
  fail_at_ = n;
  fault_ = fault;
  lasting_ = lasting;
}

void FakeFileSystem::repair() {
  fail_at_.reset();
  calls_.clear();
}

std::optional<FileError> FakeFileSystem::begin(CallKind kind,
                                               const std::string& path,
                                               bool* shorter) {
  const std::size_t number = calls_.size();
  calls_.push_back(kind);
  if (off_) {
    return error_of(FileFault::kDevice, path);
  }
  const bool hit = fail_at_ && can_fail(kind, fault_) &&
                   (lasting_ ? number >= *fail_at_ : number == *fail_at_);
  if (!hit) {
    return std::nullopt;
  }
  switch (fault_) {
    case FaultKind::kNoSpace:
      return error_of(FileFault::kNoSpace, path);
    case FaultKind::kInterrupted:
      return error_of(FileFault::kInterrupted, path);
    case FaultKind::kReadOnly:
      return error_of(FileFault::kOther, path);
    case FaultKind::kShortWrite:
      if (shorter != nullptr) {
        *shorter = true;
      }
      return std::nullopt;
    case FaultKind::kPowerCut:
      off_ = true;
      break;
    case FaultKind::kDevice:
    case FaultKind::kSyncFails:
      break;
  }
  return error_of(FileFault::kDevice, path);
}

FileResult<std::size_t> FakeFileSystem::write(
    FakeInode& inode,
    const std::string& path,
    std::optional<std::uint64_t> offset,
    ByteSpan bytes) {
  const bool was_off = off_;
  bool shorter = false;
  const auto error = begin(CallKind::kWrite, path, &shorter);
  // A write that the power cut ends may have got anywhere.
  const bool cut = off_ && !was_off;
  if (error && !cut) {
    return tl::unexpected<FileError>(*error);
  }
  const std::size_t count = shorter || cut
                                ? std::max<std::size_t>(bytes.size() / 2, 1)
                                : bytes.size();
  inode.write(static_cast<std::size_t>(offset.value_or(inode.now().size())),
              bytes.first(count));
  bytes_written_ += count;
  if (error) {
    return tl::unexpected<FileError>(*error);
  }
  return count;
}

FileStatus FakeFileSystem::sync(FakeInode& inode, const std::string& path) {
  const auto error = begin(CallKind::kSync, path);
  if (error && off_) {
    return tl::unexpected<FileError>(*error);
  }
  if (inode.takes_late_failure()) {
    return tl::unexpected<FileError>(error_of(FileFault::kDevice, path));
  }
  if (error) {
    SyncFailure how = sync_failure;
    how.said_late = how.said_late && fault_ == FaultKind::kSyncFails;
    if (error->fault == FileFault::kInterrupted) {
      how = {};
    }
    if (inode.fail_sync(how)) {
      return tl::unexpected<FileError>(*error);
    }
    return std::monostate{};
  }
  page_bytes_ += inode.sync();
  if (on_sync) {
    on_sync();
  }
  return std::monostate{};
}

void FakeFileSystem::apply(const NameChange& change, Names& names) {
  if (change.fresh) {
    names[change.to] = change.inode;
  } else if (change.gone) {
    names.erase(change.from);
  } else if (const auto old = names.find(change.from); old != names.end()) {
    names[change.to] = old->second;
    names.erase(change.from);
  }
}

void FakeFileSystem::restart() {
  std::map<std::string, bool> lost;  // of a folder: all from here on
  for (const NameChange& change : changes_) {
    bool& gone = lost[change.folder];
    gone = gone || random_() % 3 == 0;
    if (!gone) {
      apply(change, synced_);
    }
  }
  for (auto name = synced_.begin(); name != synced_.end();) {
    const std::string folder = folder_of(name->first);
    const bool there = folder == "." || synced_.contains(folder);
    name = there ? std::next(name) : synced_.erase(name);
  }
  std::set<FakeInode*> seen;
  for (const auto& [path, inode] : synced_) {
    if (inode && seen.insert(inode.get()).second) {
      inode->cut_power(random_);
    }
  }
  now_ = synced_;
  changes_.clear();
  off_ = false;
  repair();
}

std::unique_ptr<FakeFileSystem> FakeFileSystem::after_worst_cut() const {
  auto left = std::make_unique<FakeFileSystem>();
  for (const auto& [path, inode] : synced_) {
    const std::string folder = folder_of(path);
    if (folder != "." && !left->synced_.contains(folder)) {
      continue;
    }
    auto copy = inode ? std::make_shared<FakeInode>() : nullptr;
    if (copy) {
      copy->set_content(inode->synced());
    }
    left->synced_[path] = std::move(copy);
  }
  left->now_ = left->synced_;
  return left;
}

std::vector<std::string> FakeFileSystem::paths() const {
  std::vector<std::string> paths;
  for (const auto& [path, inode] : now_) {
    if (inode) {
      paths.push_back(path);
    }
  }
  return paths;
}

std::vector<std::uint8_t> FakeFileSystem::content(
    const std::string& path) const {
  return now_.at(path)->now();
}

void FakeFileSystem::set_content(const std::string& path,
                                 std::vector<std::uint8_t> bytes) {
  now_.at(path)->set_content(std::move(bytes));
}

void FakeFileSystem::make_unreadable(const std::string& path,
                                     std::size_t from,
                                     std::size_t to) {
  now_.at(path)->make_unreadable(from, to);
}

FileResult<std::unique_ptr<OpenFile>> FakeFileSystem::open(
    const std::string& path) {
  if (auto error = begin(CallKind::kOpen, path)) {
    return tl::unexpected<FileError>(*error);
  }
  const auto name = now_.find(path);
  if (name == now_.end() || !name->second) {
    return missing(path);
  }
  return std::make_unique<FakeFile>(*this, name->second, path);
}

FileResult<std::unique_ptr<OpenFile>> FakeFileSystem::create(
    const std::string& path) {
  if (auto error = begin(CallKind::kCreate, path)) {
    return tl::unexpected<FileError>(*error);
  }
  if (now_.contains(path)) {
    return tl::unexpected<FileError>(error_of(FileFault::kExists, path));
  }
  if (!now_.contains(folder_of(path))) {
    return missing(path);
  }
  changes_.push_back(
      {folder_of(path), {}, path, std::make_shared<FakeInode>(), true, false});
  apply(changes_.back(), now_);
  return std::make_unique<FakeFile>(*this, now_[path], path);
}

FileStatus FakeFileSystem::make_directory(const std::string& path) {
  if (auto error = begin(CallKind::kMakeFolder, path)) {
    return tl::unexpected<FileError>(*error);
  }
  if (now_.contains(path)) {
    return tl::unexpected<FileError>(error_of(FileFault::kExists, path));
  }
  changes_.push_back({folder_of(path), {}, path, nullptr, true, false});
  apply(changes_.back(), now_);
  return std::monostate{};
}

FileStatus FakeFileSystem::fsync_directory(const std::string& path) {
  const auto error = begin(CallKind::kSyncFolder, path);
  if (error && off_) {
    return tl::unexpected<FileError>(*error);
  }
  if (!error) {
    for (const NameChange& change : changes_) {
      if (change.folder == path) {
        apply(change, synced_);
      }
    }
    std::erase_if(changes_,
                  [&](const NameChange& c) { return c.folder == path; });
    return std::monostate{};
  }
  return tl::unexpected<FileError>(*error);
}

FileStatus FakeFileSystem::rename(const std::string& from,
                                  const std::string& to) {
  if (auto error = begin(CallKind::kRename, from)) {
    return tl::unexpected<FileError>(*error);
  }
  if (!now_.contains(from)) {
    return missing(from);
  }
  changes_.push_back({folder_of(to), from, to, nullptr, false, false});
  apply(changes_.back(), now_);
  return std::monostate{};
}

FileStatus FakeFileSystem::remove(const std::string& path) {
  if (auto error = begin(CallKind::kRemove, path)) {
    return tl::unexpected<FileError>(*error);
  }
  if (!now_.contains(path)) {
    return missing(path);
  }
  const auto next = now_.upper_bound(path);
  if (next != now_.end() && next->first.starts_with(path + "/")) {
    return tl::unexpected<FileError>(error_of(FileFault::kOther, path));
  }
  changes_.push_back({folder_of(path), path, {}, nullptr, false, true});
  apply(changes_.back(), now_);
  return std::monostate{};
}

FileResult<std::vector<DirectoryEntry>> FakeFileSystem::list(
    const std::string& path) {
  if (auto error = begin(CallKind::kList, path)) {
    return tl::unexpected<FileError>(*error);
  }
  std::vector<DirectoryEntry> entries;
  for (const auto& [name, inode] : now_) {
    if (folder_of(name) == path && name.size() > path.size() + 1) {
      entries.push_back({name.substr(path.size() + 1), inode == nullptr});
    }
  }
  if (entries.empty() && !now_.contains(path)) {
    return missing(path);
  }
  return entries;
}

FileResult<std::uint64_t> FakeFileSystem::size(const std::string& path) {
  if (auto error = begin(CallKind::kSize, path)) {
    return tl::unexpected<FileError>(*error);
  }
  const auto name = now_.find(path);
  if (name == now_.end() || !name->second) {
    return missing(path);
  }
  return std::uint64_t{name->second->now().size()};
}

}  // namespace stillpoint::archive
