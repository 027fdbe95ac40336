#include <zlib.h>

#include <algorithm>
#include <array>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/pack/unpackers.h"

namespace stillpoint::pack {
namespace {

constexpr std::size_t kInputBlock = std::size_t{128} * 1024;
constexpr int kGzipWindow = 15 + 16;  // largest window, gzip wrapping

class GzipStream final : public ByteStream {
 public:
  explicit GzipStream(std::unique_ptr<RawSource> source)
      : source_(std::move(source)), input_(kInputBlock) {
    const int started = inflateInit2(&zlib_, kGzipWindow);
    STILLPOINT_CHECK(started == Z_OK);
  }
  GzipStream(const GzipStream&) = delete;
  GzipStream& operator=(const GzipStream&) = delete;
  ~GzipStream() override { inflateEnd(&zlib_); }

  Result<std::size_t> read(std::span<char> into) override;
  [[nodiscard]] const std::string& name() const override {
    return source_->name();
  }

 private:
  Status refill();
  // Looks at what follows a member: another one, padding, or nothing.
  Result<bool> next_member();
  tl::unexpected<Error> damaged(const char* words) {
    return fail(ErrorCode::kBadFormat,
                std::string("damaged gzip data: ") + words,
                name());
  }
  tl::unexpected<Error> ended_early() {
    return fail(
        ErrorCode::kTruncated, "the gzip data end before their end", name());
  }

  std::unique_ptr<RawSource> source_;
  std::vector<char> input_;
  z_stream zlib_{};
  bool input_ended_ = false;
  bool between_members_ = false;
  bool done_ = false;
};

Status GzipStream::refill() {
  // Keeps what is left (at most a few bytes of a member's head).
  // zlib's interface wants its own byte type.
  std::copy_n(
      zlib_.next_in, zlib_.avail_in, reinterpret_cast<Bytef*>(input_.data()));
  auto got = source_->read(std::span(input_).subspan(zlib_.avail_in));
  if (!got) {
    return fail(std::move(got.error()));
  }
  input_ended_ = *got == 0;
  zlib_.next_in = reinterpret_cast<Bytef*>(input_.data());
  zlib_.avail_in += static_cast<uInt>(*got);
  return ok();
}

Result<bool> GzipStream::next_member() {
  constexpr Bytef kMagic0 = 0x1f;
  constexpr Bytef kMagic1 = 0x8b;
  while (zlib_.avail_in < 2 && !input_ended_) {
    if (auto filled = refill(); !filled) {
      return fail(std::move(filled.error()));
    }
  }
  if (zlib_.avail_in == 0) {
    return false;
  }
  if (zlib_.next_in[0] == kMagic0) {
    if (zlib_.avail_in == 1) {
      return ended_early();
    }
    if (zlib_.next_in[1] == kMagic1) {
      inflateReset(&zlib_);
      return true;
    }
  }
  for (;;) {
    if (std::any_of(zlib_.next_in, zlib_.next_in + zlib_.avail_in, [](Bytef b) {
          return b != 0;
        })) {
      return damaged("something else follows the end");
    }
    zlib_.avail_in = 0;
    if (input_ended_) {
      return false;
    }
    if (auto filled = refill(); !filled) {
      return fail(std::move(filled.error()));
    }
  }
}

Result<std::size_t> GzipStream::read(std::span<char> into) {
  const std::size_t wanted = std::min<std::size_t>(into.size(), 1U << 30U);
  zlib_.next_out = reinterpret_cast<Bytef*>(into.data());
  zlib_.avail_out = static_cast<uInt>(wanted);
  while (!done_ && zlib_.avail_out == wanted && wanted > 0) {
    if (between_members_) {
      auto more = next_member();
      if (!more) {
        return fail(std::move(more.error()));
      }
      between_members_ = false;
      done_ = !*more;
      continue;
    }
    if (zlib_.avail_in == 0) {
      if (auto filled = refill(); !filled) {
        return fail(std::move(filled.error()));
      }
    }
    const int state = inflate(&zlib_, Z_NO_FLUSH);
    if (state == Z_STREAM_END) {
      between_members_ = true;
    } else if (state == Z_BUF_ERROR || state == Z_OK) {
      if (zlib_.avail_in == 0 && input_ended_ && zlib_.avail_out == wanted) {
        return ended_early();
      }
    } else {
      return damaged(zlib_.msg != nullptr ? zlib_.msg : "no valid data");
    }
  }
  return wanted - zlib_.avail_out;
}

}  // namespace

std::unique_ptr<ByteStream> gzip_stream(std::unique_ptr<RawSource> source) {
  return std::make_unique<GzipStream>(std::move(source));
}

}  // namespace stillpoint::pack
