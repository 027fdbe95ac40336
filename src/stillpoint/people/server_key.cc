#include "stillpoint/people/server_key.h"

#include <fcntl.h>
#include <sodium.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

namespace stillpoint::people {
namespace {

constexpr mode_t kOwnerOnlyFolder = 0700;
constexpr mode_t kOthers = 0077;
// Room for one byte more than a key has, to see a file that is too long.
using FileBytes = std::array<std::uint8_t, SecretKey::kBytes + 1>;

constexpr const char* kLostRemedy =
    "put the file back from a backup; without one, remove the accounts of kind "
    "stream and add them anew: their tokens work no more";

class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  Descriptor(Descriptor&&) = delete;
  Descriptor& operator=(Descriptor&&) = delete;
  ~Descriptor() {
    if (number_ >= 0) {
      ::close(number_);
    }
  }
  [[nodiscard]] int get() const { return number_; }

 private:
  int number_;
};

tl::unexpected<Error> refused(const char* doing,
                              const std::filesystem::path& path,
                              std::string remedy = {}) {
  return fail(ErrorCode::kIo,
              std::string("cannot ") + doing + ": " +
                  std::generic_category().message(errno),
              path.string(),
              std::move(remedy));
}

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
      return refused("read the key of the tokens", path);
    }
    if (got == 0) {
      break;
    }
    size += static_cast<std::size_t>(got);
  }
  return size;
}

Status write_all(int file, const SecretKey& key, const std::string& path) {
  std::size_t done = 0;
  while (done < SecretKey::kBytes) {
    const ssize_t put =
        ::write(file, key.bytes().data() + done, SecretKey::kBytes - done);
    if (put < 0 && errno == EINTR) {
      continue;
    }
    if (put < 0) {
      return refused("write the key of the tokens", path);
    }
    done += static_cast<std::size_t>(put);
  }
  if (::fsync(file) != 0) {
    return refused("bring the key of the tokens to the disk", path);
  }
  return ok();
}

Status sync_folder(const std::filesystem::path& folder) {
  const Descriptor open(
      ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (open.get() < 0 || ::fsync(open.get()) != 0) {
    return refused("bring the folder to the disk", folder);
  }
  return ok();
}

Status make_folder(const std::filesystem::path& folder) {
  if (::mkdir(folder.c_str(), kOwnerOnlyFolder) == 0) {
    return sync_folder(folder.parent_path());
  }
  if (errno == EEXIST) {
    return ok();
  }
  return refused("make the folder of the keys",
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
    return refused("open the key of the tokens", path);
  }
  struct stat facts {};
  if (::fstat(file.get(), &facts) != 0) {
    return refused("look at the key of the tokens", path);
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
  const std::filesystem::path folder = path.parent_path();
  const Status made = make_folder(folder);
  if (!made) {
    return fail(made.error());
  }
  // Written under a name of its own and given the right one when it is whole;
  // linking, unlike renaming, never replaces a key that is there.
  std::string part = path.string() + ".XXXXXX";
  const Descriptor file(::mkostemp(part.data(), O_CLOEXEC));  // 0600
  if (file.get() < 0) {
    return refused("make a file for the key of the tokens", folder);
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
    return refused("name the key of the tokens", path);
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
