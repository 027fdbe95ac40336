#include "stillpoint/fetch/content.h"

#include <openssl/evp.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cstdio>
#include <memory>
#include <string_view>
#include <system_error>
#include <vector>

namespace stillpoint::fetch {
namespace {

using std::string_view_literals::operator""sv;

constexpr std::uint64_t kMostUnpacked = std::uint64_t{4} << 30;
constexpr std::size_t kBlock = std::size_t{1} << 17;
constexpr int kGzipWindow = 15 + 16;  // zlib: 32 KB, gzip heads only
constexpr const char* kAskAgain =
    "it is asked for again the next time; if it comes like this again, the "
    "archive's address or its login is wrong";

struct FileCloser {
  void operator()(std::FILE* file) const { std::fclose(file); }
};
using FilePtr = std::unique_ptr<std::FILE, FileCloser>;

struct ContextCloser {
  void operator()(EVP_MD_CTX* context) const { EVP_MD_CTX_free(context); }
};

Result<FilePtr> opened(const std::filesystem::path& path) {
  FilePtr file(std::fopen(path.c_str(), "rbe"));
  if (!file) {
    return fail(ErrorCode::kIo,
                "it does not open: " + std::generic_category().message(errno),
                path.string());
  }
  return file;
}

tl::unexpected<Error> unreadable(const std::filesystem::path& path) {
  return fail(ErrorCode::kIo,
              "reading failed: " + std::generic_category().message(errno),
              path.string());
}

struct Packing {
  std::string_view ending, first_bytes;
};

constexpr std::array<Packing, 4> kPackings = {{
    {".gz", "\x1f\x8b\x08"sv},
    {".Z", "\x1f\x9d"sv},
    {".bz2", "BZh"sv},
    {".zst", "\x28\xb5\x2f\xfd"sv},
}};

// Product formats begin with letters, digits, '#', '%', '+' or '*'.
bool is_page(std::string_view head) {
  constexpr std::string_view kByteOrderMark = "\xef\xbb\xbf";
  if (head.substr(0, kByteOrderMark.size()) == kByteOrderMark) {
    head.remove_prefix(kByteOrderMark.size());
  }
  const std::size_t first = head.find_first_not_of(" \t\r\n");
  return first != std::string_view::npos && head[first] == '<';
}

class Unpacker {
 public:
  Unpacker() { started_ = inflateInit2(&zlib_, kGzipWindow) == Z_OK; }
  ~Unpacker() { inflateEnd(&zlib_); }
  Unpacker(const Unpacker&) = delete;
  Unpacker& operator=(const Unpacker&) = delete;

  // Unpacks a piece and forgets it; zlib verifies length and CRC-32.
  Status take(std::vector<unsigned char>& bytes, std::size_t size) {
    if (!started_) {
      return fail(ErrorCode::kInternal, "zlib does not start");
    }
    zlib_.next_in = bytes.data();
    zlib_.avail_in = static_cast<uInt>(size);
    while (zlib_.avail_in > 0) {
      if (at_end_) {  // another member, RFC 1952 section 2.2
        inflateReset(&zlib_);
        at_end_ = false;
      }
      zlib_.next_out = room_.data();
      zlib_.avail_out = static_cast<uInt>(room_.size());
      const int state = inflate(&zlib_, Z_NO_FLUSH);
      unpacked_ += room_.size() - zlib_.avail_out;
      at_end_ = state == Z_STREAM_END;
      if (state != Z_OK && state != Z_STREAM_END && state != Z_BUF_ERROR) {
        return fail(ErrorCode::kBadChecksum,
                    "the packed file is damaged",
                    {},
                    kAskAgain);
      }
      if (unpacked_ > kMostUnpacked) {
        return fail(ErrorCode::kTooLarge, "it unpacks to more than 4 GB");
      }
    }
    return ok();
  }
  [[nodiscard]] bool at_end() const { return at_end_; }

 private:
  z_stream zlib_{};
  std::vector<unsigned char> room_ = std::vector<unsigned char>(kBlock);
  std::uint64_t unpacked_ = 0;
  bool started_ = false, at_end_ = false;
};

Status check_gzip(std::FILE* file, const std::filesystem::path& path) {
  Unpacker unpacker;
  std::vector<unsigned char> buffer(kBlock);
  std::rewind(file);
  std::size_t n = 0;
  while ((n = std::fread(buffer.data(), 1, buffer.size(), file)) > 0) {
    if (auto state = unpacker.take(buffer, n); !state) {
      return state;
    }
  }
  if (std::ferror(file) != 0) {
    return unreadable(path);
  }
  if (!unpacker.at_end()) {
    return fail(ErrorCode::kTruncated,
                "the packed file ends in the middle",
                {},
                kAskAgain);
  }
  return ok();
}

Status check_head(const std::string& name,
                  std::string_view head,
                  const Packing*& packing) {
  const auto starts = [&](const Packing& p) {
    return head.substr(0, p.first_bytes.size()) == p.first_bytes;
  };
  const auto named = [&](const Packing& p) {
    return std::string_view(name).ends_with(p.ending);
  };
  const auto* is = std::find_if(kPackings.begin(), kPackings.end(), starts);
  const auto* says = std::find_if(kPackings.begin(), kPackings.end(), named);
  if (is == says && is != kPackings.end()) {
    packing = is;
    return ok();
  }
  std::string what;
  if (head.empty()) {
    what = "the file is empty";
  } else if (is_page(head)) {
    what = "a web page came instead of the file";
  } else if (says != kPackings.end()) {
    what = "the name ends in ";
    what += says->ending;
    what += ", the content is of another kind";
  } else if (is != kPackings.end() ||
             head.find('\0') != std::string_view::npos) {
    what = "the name is that of a text, the content is none";
  }
  if (!what.empty()) {
    return fail(ErrorCode::kBadFormat, std::move(what), {}, kAskAgain);
  }
  return ok();
}

std::string hex(const unsigned char* bytes, unsigned size) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string out;
  for (unsigned i = 0; i < size; ++i) {
    out += kDigits[bytes[i] >> 4];
    out += kDigits[bytes[i] & 15];
  }
  return out;
}

}  // namespace

Result<ContentFacts> content_facts(const std::filesystem::path& path) {
  const auto file = opened(path);
  if (!file) {
    return fail(file.error());
  }
  const std::unique_ptr<EVP_MD_CTX, ContextCloser> context(EVP_MD_CTX_new());
  if (!context ||
      EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) != 1) {
    return fail(ErrorCode::kInternal, "no SHA-256 from the crypto library");
  }
  ContentFacts facts;
  std::vector<unsigned char> buffer(kBlock);
  std::size_t n = 0;
  while ((n = std::fread(buffer.data(), 1, buffer.size(), file->get())) > 0) {
    EVP_DigestUpdate(context.get(), buffer.data(), n);
    facts.size_bytes += n;
  }
  if (std::ferror(file->get()) != 0) {
    return unreadable(path);
  }
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned size = 0;
  EVP_DigestFinal_ex(context.get(), digest.data(), &size);
  facts.sha256 = hex(digest.data(), size);
  return facts;
}

Status check_content(const std::string& name,
                     const std::filesystem::path& path) {
  const auto file = opened(path);
  if (!file) {
    return fail(file.error());
  }
  std::array<char, 512> head{};
  const std::size_t n = std::fread(head.data(), 1, head.size(), file->get());
  if (std::ferror(file->get()) != 0) {
    return unreadable(path);
  }
  const Packing* packing = nullptr;
  auto state = check_head(name, std::string_view(head.data(), n), packing);
  if (!state || packing == nullptr || packing->ending != ".gz") {
    return state;
  }
  return check_gzip(file->get(), path);
}

}  // namespace stillpoint::fetch
