#include "stillpoint/archive/frame_packer.h"

#include <zstd.h>

namespace stillpoint::archive {

void BlockPrefix::add(ByteSpan body) {
  bytes_.insert(bytes_.end(), body.begin(), body.end());
  if (bytes_.size() > kMost) {
    const std::size_t more = bytes_.size() - kMost;
    bytes_.erase(bytes_.begin(),
                 bytes_.begin() + static_cast<std::ptrdiff_t>(more));
  }
}

void FramePacker::Free::operator()(ZSTD_CCtx_s* context) const {
  ZSTD_freeCCtx(context);
}

FramePacker::FramePacker(int level) : context_(ZSTD_createCCtx()) {
  if (context_) {
    // Out of range it takes the nearest level, and fails at nothing else.
    ZSTD_CCtx_setParameter(context_.get(), ZSTD_c_compressionLevel, level);
  }
}

std::optional<std::vector<std::uint8_t>> FramePacker::pack(
    ByteSpan plain, ByteSpan prefix) const {
  if (!context_) {
    return std::nullopt;
  }
  std::vector<std::uint8_t> frame(ZSTD_compressBound(plain.size()));
  ZSTD_CCtx_refPrefix(context_.get(), prefix.data(), prefix.size());
  const std::size_t size = ZSTD_compress2(
      context_.get(), frame.data(), frame.size(), plain.data(), plain.size());
  if (ZSTD_isError(size) != 0 || size >= plain.size()) {
    return std::nullopt;
  }
  frame.resize(size);
  return frame;
}

std::optional<std::vector<std::uint8_t>> unpack_frame(ByteSpan frame,
                                                      ByteSpan prefix,
                                                      std::size_t size) {
  const std::unique_ptr<ZSTD_DCtx, decltype(&ZSTD_freeDCtx)> context(
      ZSTD_createDCtx(), &ZSTD_freeDCtx);
  if (!context) {
    return std::nullopt;
  }
  ZSTD_DCtx_refPrefix(context.get(), prefix.data(), prefix.size());
  std::vector<std::uint8_t> plain(size);
  const std::size_t got = ZSTD_decompressDCtx(
      context.get(), plain.data(), plain.size(), frame.data(), frame.size());
  if (ZSTD_isError(got) != 0 || got != size) {
    return std::nullopt;
  }
  return plain;
}

}  // namespace stillpoint::archive
