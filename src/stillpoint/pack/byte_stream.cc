#include "stillpoint/pack/byte_stream.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <utility>

#include "stillpoint/pack/raw_source.h"
#include "stillpoint/pack/unpackers.h"

namespace stillpoint {
namespace pack {

Packing packing_of(std::span<const char> head) {
  using namespace std::string_view_literals;
  const std::string_view bytes(head.data(), head.size());
  if (bytes.starts_with("\x1f\x8b"sv) || bytes == "\x1f"sv) {
    return Packing::kGzip;
  }
  if (bytes.starts_with("\x1f\x9d"sv)) {
    return Packing::kCompress;
  }
  if (bytes.starts_with("\x28\xb5\x2f\xfd"sv)) {
    return Packing::kZstd;
  }
  if (bytes.starts_with("\xfd"
                        "7zXZ\0"sv)) {
    return Packing::kXz;
  }
  if (bytes.starts_with("PK\x03\x04"sv) || bytes.starts_with("PK\x05\x06"sv)) {
    return Packing::kZip;
  }
  // A block's magic (pi), or that of the end of an empty file (root of pi).
  if (bytes.size() >= 4 && bytes.starts_with("BZh"sv) && bytes[3] >= '1' &&
      bytes[3] <= '9') {
    const std::string_view magic = bytes.substr(4);
    if ("\x31\x41\x59\x26\x53\x59"sv.starts_with(magic) ||
        "\x17\x72\x45\x38\x50\x90"sv.starts_with(magic)) {
      return Packing::kBzip2;
    }
  }
  return Packing::kNone;
}

namespace {

constexpr std::size_t kHead = 10;

// Bytes already looked at, then the rest of the source.
class PlainStream final : public ByteStream {
 public:
  PlainStream(std::string head, std::unique_ptr<RawSource> rest)
      : head_(std::move(head)), rest_(std::move(rest)) {}

  Result<std::size_t> read(std::span<char> into) override {
    if (given_ == head_.size()) {
      return rest_->read(into);
    }
    const std::size_t count = std::min(into.size(), head_.size() - given_);
    std::copy_n(head_.data() + given_, count, into.data());
    given_ += count;
    return count;
  }

  [[nodiscard]] const std::string& name() const override {
    return rest_->name();
  }

 private:
  std::string head_;
  std::size_t given_ = 0;
  std::unique_ptr<RawSource> rest_;
};

// The same for a source that cannot go back, so that an unpacker can start
// at its first byte.
class RewoundSource final : public RawSource {
 public:
  RewoundSource(std::string head, std::unique_ptr<RawSource> rest)
      : plain_(std::move(head), std::move(rest)) {}
  Result<std::size_t> read(std::span<char> into) override {
    return plain_.read(into);
  }
  bool seek(std::int64_t /*position*/) override { return false; }
  std::optional<std::int64_t> size() override { return std::nullopt; }
  [[nodiscard]] const std::string& name() const override {
    return plain_.name();
  }

 private:
  PlainStream plain_;
};

Result<std::string> read_head(RawSource& source) {
  std::array<char, kHead> head{};
  std::size_t have = 0;
  while (have < head.size()) {
    auto got = source.read(std::span(head).subspan(have));
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (*got == 0) {
      break;
    }
    have += *got;
  }
  return std::string(head.data(), have);
}

Result<std::unique_ptr<ByteStream>> unpack(std::unique_ptr<RawSource> source) {
  auto head = read_head(*source);
  if (!head) {
    return fail(std::move(head.error()));
  }
  const Packing packing = packing_of(*head);
  if (packing == Packing::kNone) {
    return std::make_unique<PlainStream>(std::move(*head), std::move(source));
  }
  if (!source->seek(0)) {
    source =
        std::make_unique<RewoundSource>(std::move(*head), std::move(source));
  }
  if (packing == Packing::kGzip) {
    return gzip_stream(std::move(source));
  }
  return archive_stream(std::move(source), packing);
}

// Plain bytes in memory, which readers may also take where they lie.
class MemoryStream final : public ByteStream {
 public:
  MemoryStream(std::span<const char> bytes, std::string name)
      : left_(bytes), name_(std::move(name)) {}

  Result<std::size_t> read(std::span<char> into) override {
    const std::size_t count = std::min(into.size(), left_.size());
    std::copy_n(left_.data(), count, into.data());
    left_ = left_.subspan(count);
    return count;
  }
  [[nodiscard]] std::span<const char> in_memory() const override {
    return left_;
  }
  [[nodiscard]] const std::string& name() const override { return name_; }

 private:
  std::span<const char> left_;
  std::string name_;
};

// An error that is told at the first read.
class FailedStream final : public ByteStream {
 public:
  FailedStream(Error error, std::string name)
      : error_(std::move(error)), name_(std::move(name)) {}
  Result<std::size_t> read(std::span<char> /*into*/) override {
    return fail(error_);
  }
  [[nodiscard]] const std::string& name() const override { return name_; }

 private:
  Error error_;
  std::string name_;
};

}  // namespace
}  // namespace pack

Result<std::unique_ptr<ByteStream>> open_unpacked(const std::string& path) {
  auto file = pack::open_file(path);
  if (!file) {
    return fail(std::move(file.error()));
  }
  return pack::unpack(std::move(*file));
}

std::unique_ptr<ByteStream> unpack_memory(std::span<const char> bytes,
                                          std::string name) {
  auto stream = pack::unpack(pack::over_memory(bytes, name));
  if (!stream) {
    return std::make_unique<pack::FailedStream>(std::move(stream.error()),
                                                std::move(name));
  }
  return std::move(*stream);
}

std::unique_ptr<ByteStream> memory_stream(std::string_view bytes,
                                          std::string name) {
  return std::make_unique<pack::MemoryStream>(bytes, std::move(name));
}

}  // namespace stillpoint
