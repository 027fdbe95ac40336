#include <zlib.h>

#include <algorithm>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint {
namespace {

constexpr std::size_t kBlock = std::size_t{64} * 1024;
constexpr std::size_t kMostAtOnce = std::size_t{1} << 30U;
constexpr int kGzipWindow = 15 + 16;  // largest window, gzip wrapping
constexpr int kUsualMemory = 8;
constexpr int kUnknownSystem = 255;  // RFC 1952, section 2.3.1: OS

class GzipSink final : public ByteSink {
 public:
  GzipSink(std::unique_ptr<ByteSink> next, int level)
      : next_(std::move(next)), output_(kBlock) {
    const int started = deflateInit2(&zlib_,
                                     level,
                                     Z_DEFLATED,
                                     kGzipWindow,
                                     kUsualMemory,
                                     Z_DEFAULT_STRATEGY);
    STILLPOINT_CHECK(started == Z_OK);
    // Else zlib would write the system that it was built for.
    header_.os = kUnknownSystem;
    const int set = deflateSetHeader(&zlib_, &header_);
    STILLPOINT_CHECK(set == Z_OK);
  }
  GzipSink(const GzipSink&) = delete;
  GzipSink& operator=(const GzipSink&) = delete;
  ~GzipSink() override { deflateEnd(&zlib_); }

  Status write(std::string_view bytes) override {
    STILLPOINT_CHECK(!closed_);
    while (!bytes.empty()) {
      const std::string_view piece = bytes.substr(0, kMostAtOnce);
      bytes.remove_prefix(piece.size());
      // zlib reads from here only, but its type does not say so.
      zlib_.next_in = const_cast<Bytef*>(  // NOLINT: as zlib's own manual does
          reinterpret_cast<const Bytef*>(piece.data()));
      zlib_.avail_in = static_cast<uInt>(piece.size());
      while (zlib_.avail_in > 0) {
        if (Status status = deflate_once(Z_NO_FLUSH); !status) {
          return status;
        }
      }
    }
    return ok();
  }

  Status close() override {
    STILLPOINT_CHECK(!closed_);
    closed_ = true;
    while (!ended_) {
      if (Status status = deflate_once(Z_FINISH); !status) {
        return status;
      }
    }
    return next_->close();
  }

 private:
  Status deflate_once(int flush) {
    zlib_.next_out = reinterpret_cast<Bytef*>(output_.data());
    zlib_.avail_out = static_cast<uInt>(output_.size());
    const int state = deflate(&zlib_, flush);
    STILLPOINT_CHECK(state == Z_OK || state == Z_STREAM_END);
    ended_ = state == Z_STREAM_END;
    const std::size_t size = output_.size() - zlib_.avail_out;
    return size == 0 ? ok() : next_->write({output_.data(), size});
  }

  std::unique_ptr<ByteSink> next_;
  std::vector<char> output_;
  z_stream zlib_{};
  gz_header header_{};
  bool ended_ = false;
  bool closed_ = false;
};

}  // namespace

std::unique_ptr<ByteSink> gzip_sink(std::unique_ptr<ByteSink> next, int level) {
  STILLPOINT_CHECK(next != nullptr && level >= 1 && level <= 9);
  return std::make_unique<GzipSink>(std::move(next), level);
}

}  // namespace stillpoint
