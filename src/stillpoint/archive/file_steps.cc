#include "stillpoint/archive/file_steps.h"

#include <algorithm>

namespace stillpoint::archive {

FileStatus append_all(OpenFile& file, ByteSpan bytes) {
  while (!bytes.empty()) {
    const auto taken = uninterrupted([&] { return file.append(bytes); });
    if (!taken) {
      return tl::unexpected<FileError>(taken.error());
    }
    if (*taken == 0) {
      return tl::unexpected<FileError>(
          FileError{FileFault::kOther, "a write took no bytes", {}});
    }
    bytes = bytes.subspan(std::min(*taken, bytes.size()));
  }
  return std::monostate{};
}

FileResult<std::vector<std::uint8_t>> read_some(OpenFile& file,
                                                std::uint64_t offset,
                                                std::size_t count) {
  std::vector<std::uint8_t> bytes(count);
  std::size_t have = 0;
  while (have < count) {
    const auto got = uninterrupted([&] {
      return file.read(offset + have,
                       std::span<std::uint8_t>(bytes).subspan(have));
    });
    if (!got) {
      return tl::unexpected<FileError>(got.error());
    }
    if (*got == 0) {
      break;
    }
    have += *got;
  }
  bytes.resize(have);
  return bytes;
}

FileStatus replace_file(FileSystem& files,
                        const std::string& path,
                        ByteSpan bytes) {
  const std::string part = path + ".part";
  auto done = remove_if_there(files, part);
  if (!done) {
    return done;
  }
  auto file = uninterrupted([&] { return files.create(part); });
  if (!file) {
    return tl::unexpected<FileError>(file.error());
  }
  done = append_all(**file, bytes);
  if (done) {
    done = (*file)->fdatasync();
  }
  file->reset();
  if (done) {
    done = uninterrupted([&] { return files.rename(part, path); });
  }
  if (!done) {
    // Gives the space back; if that fails too, the next start does it.
    static_cast<void>(remove_if_there(files, part));
    return done;
  }
  return files.fsync_directory(folder_of(path));
}

std::string folder_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  if (slash == std::string::npos) {
    return ".";
  }
  return slash == 0 ? "/" : path.substr(0, slash);
}

FileResult<std::vector<DirectoryEntry>> list_if_there(FileSystem& files,
                                                      const std::string& path) {
  auto entries = uninterrupted([&] { return files.list(path); });
  if (!entries && entries.error().fault == FileFault::kNotFound) {
    return std::vector<DirectoryEntry>{};
  }
  return entries;
}

FileStatus remove_if_there(FileSystem& files, const std::string& path) {
  auto done = uninterrupted([&] { return files.remove(path); });
  if (!done && done.error().fault == FileFault::kNotFound) {
    return std::monostate{};
  }
  return done;
}

}  // namespace stillpoint::archive
