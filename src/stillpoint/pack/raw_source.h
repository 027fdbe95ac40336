// Where packed bytes come from: a file or memory. Inside pack only.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::pack {

class RawSource {
 public:
  virtual ~RawSource() = default;
  // As ByteStream::read: 0 is the end.
  virtual Result<std::size_t> read(std::span<char> into) = 0;
  // Absolute position, size in bytes; nothing where going back is impossible
  // (a pipe).
  virtual bool seek(std::int64_t position) = 0;
  virtual std::optional<std::int64_t> size() = 0;
  [[nodiscard]] virtual const std::string& name() const = 0;
};

//   errors   kIo with the path and the system's words
Result<std::unique_ptr<RawSource>> open_file(const std::string& path);

// The bytes must outlive the source.
std::unique_ptr<RawSource> over_memory(std::span<const char> bytes,
                                       std::string name);

}  // namespace stillpoint::pack
