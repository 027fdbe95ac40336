// The blocks of a segment file.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/core/file_system.h"

namespace stillpoint::archive {

struct Block {
  std::uint64_t position = 0;  // of its first byte in the file
  std::vector<std::uint8_t> bytes;
  bool unreadable = false;  // the device gave nothing, however often asked
};

class BlockSource {
 public:
  BlockSource(std::unique_ptr<OpenFile> file, std::uint64_t size);

  [[nodiscard]] std::size_t count() const { return count_; }
  // Number `index` < count(); what cannot be read is empty.
  Block block(std::size_t index);

 private:
  std::unique_ptr<OpenFile> file_;
  std::size_t count_;
};

FileResult<std::unique_ptr<BlockSource>> open_blocks(FileSystem& files,
                                                     const std::string& path);

}  // namespace stillpoint::archive
