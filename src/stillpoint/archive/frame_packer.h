// Bodies as zstd frames. A frame may build on a prefix: bytes that stand before
// it in the same block, and that the reader has too.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "stillpoint/core/bytes.h"

// Of libzstd; its header stays out of ours.
// NOLINTNEXTLINE(readability-identifier-naming): the library's own name
struct ZSTD_CCtx_s;

namespace stillpoint::archive {

// What the bytes pieces of one block held so far, unpacked: the last kMost of
// it.
class BlockPrefix {
 public:
  static constexpr std::size_t kMost = 65536;

  void add(ByteSpan body);
  void clear() { bytes_.clear(); }
  [[nodiscard]] ByteSpan view() const { return bytes_; }

 private:
  std::vector<std::uint8_t> bytes_;
};

class FramePacker {
 public:
  // zstd's levels; what is beyond them counts as the nearest.
  explicit FramePacker(int level);

  // Nothing where that makes it no smaller.
  [[nodiscard]] std::optional<std::vector<std::uint8_t>> pack(
      ByteSpan plain, ByteSpan prefix) const;

 private:
  struct Free {
    void operator()(ZSTD_CCtx_s* context) const;
  };
  std::unique_ptr<ZSTD_CCtx_s, Free> context_;
};

// The reverse; nothing where it is not a frame of `size` bytes.
std::optional<std::vector<std::uint8_t>> unpack_frame(ByteSpan frame,
                                                      ByteSpan prefix,
                                                      std::size_t size);

}  // namespace stillpoint::archive
