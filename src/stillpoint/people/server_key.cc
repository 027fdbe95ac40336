#include "stillpoint/people/server_key.h"

#include <fcntl.h>
#include <sodium.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <utility>

#include "stillpoint/people/private_file.h"

namespace stillpoint::people {
namespace {

constexpr mode_t kOwnerOnlyFolder = 0700;
constexpr mode_t kOthers = 0077;
// Room for one byte more than a key has, to see a file that is too long.
using FileBytes = std::array<std::uint8_t, SecretKey::kBytes + 1>;

constexpr const char* kLostRemedy =
    "put the file back from a backup; without one, remove the accounts of kind "
    "stream and add them anew: their tokens work no more";

// Reads up to the end or the end of `bytes`.
Result<std::size_t> read_all(int file,
                             const std::filesystem::path& path,
                             FileBytes& bytes) {
  std::size_t size = 0;
  while (size < bytes.size()) {
    const ssize_t got = ::read(file, bytes.data() + size, bytes.size() - size);
    if (got < 0 && errno == EINTR) {
      continue;
    }
    if (got < 0) {
      return file_refused("read the key of the tokens", path);
    }
    if (got == 0) {
      break;
    }
    size += static_cast<std::size_t>(got);
  }
  return size;
}

Status write_all(int file, const SecretKey& key, const std::string& path) {
  const SecretKey::Bytes bytes = key.bytes();
  return write_whole(
      file,
      {reinterpret_cast<const char*>(bytes.data()), bytes.size()},
      "the key of the tokens",
      path);
}

Status make_folder(const std::filesystem::path& folder) {
  if (::mkdir(folder.c_str(), kOwnerOnlyFolder) == 0) {
    return sync_folder(folder_of(folder));
  }
  if (errno == EEXIST) {
    return ok();
  }
  return file_refused(
      "make the folder of the keys",
      folder,
      "make the folder above it, and let this user write there");
}

}  // namespace

Result<SecretKey> read_server_key(const std::filesystem::path& path) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.get() < 0) {
    if (errno == ENOENT) {
      return fail(ErrorCode::kNoData,
                  "the key of the tokens is missing",
                  path.string(),
                  kLostRemedy);
    }
    return file_refused("open the key of the tokens", path);
  }
  struct stat facts {};
  if (::fstat(file.get(), &facts) != 0) {
    return file_refused("look at the key of the tokens", path);
  }
  if ((facts.st_mode & kOthers) != 0) {
    return fail(ErrorCode::kConfig,
                "others than its owner may use the key of the tokens",
                path.string(),
                "chmod 600 " + path.string() +
                    "; if a stranger may have read it, remove the file and all "
                    "accounts of kind stream, and add them anew");
  }
  FileBytes bytes{};
  const Result<std::size_t> size = read_all(file.get(), path, bytes);
  if (!size) {
    return fail(size.error());
  }
  if (*size != SecretKey::kBytes) {
    return fail(ErrorCode::kBadFormat,
                "the key of the tokens has not " +
                    std::to_string(SecretKey::kBytes) + " bytes",
                path.string(),
                std::string("remove the file, then ") + kLostRemedy);
  }
  const SecretKey::Bytes whole(bytes.data(), SecretKey::kBytes);
  SecretKey key(whole);
  sodium_memzero(bytes.data(), bytes.size());
  return key;
}

Result<SecretKey> make_server_key(const std::filesystem::path& path) {
  const std::filesystem::path folder = folder_of(path);
  const Status made = make_folder(folder);
  if (!made) {
    return fail(made.error());
  }
  // Written under a name of its own and given the right one when it is whole;
  // linking, unlike renaming, never replaces a key that is there.
  std::string part = path.string() + ".XXXXXX";
  const Descriptor file(::mkostemp(part.data(), O_CLOEXEC));  // 0600
  if (file.get() < 0) {
    return file_refused("make a file for the key of the tokens", folder);
  }
  const Status written = write_all(file.get(), SecretKey::random(), part);
  const bool linked = written && ::link(part.c_str(), path.c_str()) == 0;
  const int why = errno;
  ::unlink(part.c_str());
  if (!written) {
    return fail(written.error());
  }
  if (!linked && why != EEXIST) {
    errno = why;
    return file_refused("name the key of the tokens", path);
  }
  const Status lasting = sync_folder(folder);
  if (!lasting) {
    return fail(lasting.error());
  }
  return read_server_key(path);
}

Result<SecretKey> open_server_key(const std::filesystem::path& path,
                                  Tokens tokens) {
  Result<SecretKey> key = read_server_key(path);
  const bool missing = !key && key.error().code == ErrorCode::kNoData;
  return missing && tokens == Tokens::kNone ? make_server_key(path)
                                            : std::move(key);
}

}  // namespace stillpoint::people
