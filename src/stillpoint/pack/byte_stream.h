// Bytes in order, whatever they are packed in. Readers of text formats pull
// from here and never see a file.
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint {

class ByteStream {
 public:
  virtual ~ByteStream() = default;
  // Fills up to into.size() bytes, returns how many; 0 is the end.
  //
  //   errors   kIo, kTruncated (packed data end early), kBadFormat (damaged)
  virtual Result<std::size_t> read(std::span<char> into) = 0;
  // All bytes still to be read, where they lie in memory as they are; they
  // stay there as long as the stream. Empty where they do not.
  [[nodiscard]] virtual std::span<const char> in_memory() const { return {}; }
  // Name for messages, usually the path.
  [[nodiscard]] virtual const std::string& name() const = 0;
};

// Opens a file and takes off any packing (.gz .Z .bz2 .zip .zst, found by
// content, not by name). A zip must hold exactly one file.
//
//   errors   kIo with the path and the system's words
Result<std::unique_ptr<ByteStream>> open_unpacked(const std::string& path);

// The same from bytes in memory, which must outlive the stream.
std::unique_ptr<ByteStream> unpack_memory(std::span<const char> bytes,
                                          std::string name);

// Plain bytes in memory without any unpacking; they must outlive the stream.
std::unique_ptr<ByteStream> memory_stream(std::string_view bytes,
                                          std::string name);

}  // namespace stillpoint
