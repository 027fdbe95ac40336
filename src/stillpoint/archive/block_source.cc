#include "stillpoint/archive/block_source.h"

#include <utility>

#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/piece.h"

namespace stillpoint::archive {
namespace {

// Far more than an hour of any receiver holds.
constexpr std::uint64_t kMostFileBytes = std::uint64_t{256} << 20U;

// A failure that passes must not look like a block that is gone.
FileResult<std::vector<std::uint8_t>> read_stubbornly(OpenFile& file,
                                                      std::uint64_t at,
                                                      std::size_t count) {
  constexpr int kMostTries = 3;
  auto bytes = read_some(file, at, count);
  for (int i = 1; i < kMostTries && !bytes; ++i) {
    bytes = read_some(file, at, count);
  }
  return bytes;
}

}  // namespace

BlockSource::BlockSource(std::unique_ptr<OpenFile> file, std::uint64_t size)
    : file_(std::move(file)),
      count_(static_cast<std::size_t>((size + kBlockSize - 1) / kBlockSize)) {}

Block BlockSource::block(std::size_t index) {
  Block block;
  block.position = std::uint64_t{index} * kBlockSize;
  auto bytes = read_stubbornly(*file_, block.position, kBlockSize);
  block.unreadable = !bytes;
  if (bytes) {
    block.bytes = std::move(*bytes);
  }
  return block;
}

FileResult<std::unique_ptr<BlockSource>> open_blocks(FileSystem& files,
                                                     const std::string& path) {
  auto file = uninterrupted([&] { return files.open(path); });
  if (!file) {
    return tl::unexpected<FileError>(file.error());
  }
  const auto size = uninterrupted([&] { return (*file)->size(); });
  if (!size) {
    return tl::unexpected<FileError>(size.error());
  }
  if (*size > kMostFileBytes) {
    return tl::unexpected<FileError>(
        FileError{FileFault::kOther, "too large for a segment", path});
  }
  return std::make_unique<BlockSource>(std::move(*file), *size);
}

}  // namespace stillpoint::archive
