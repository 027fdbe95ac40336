#include "stillpoint/archive/latest_note.h"

#include "stillpoint/archive/file_steps.h"
#include "stillpoint/archive/piece.h"
#include "stillpoint/core/crc.h"

namespace stillpoint::archive {
namespace {

constexpr const char* kName = "/latest";
constexpr std::uint64_t kMagic = 0x5453544C50530001;  // version 1
constexpr std::size_t kMostBytes = 256;

}  // namespace

FileStatus write_latest(FileSystem& files,
                        const std::string& root,
                        const LatestNote& note) {
  NoteWriter out;
  out.u64(kMagic);
  out.u64(note.stream);
  out.u64(note.first_offset);
  out.text(note.name.path());
  out.u32(crc32(out.view()));
  return replace_file(files, root + kName, out.view());
}

FileResult<std::optional<LatestNote>> read_latest(FileSystem& files,
                                                  const std::string& root) {
  const auto file = uninterrupted([&] { return files.open(root + kName); });
  if (!file && file.error().fault == FileFault::kNotFound) {
    return std::nullopt;
  }
  if (!file) {
    return tl::unexpected<FileError>(file.error());
  }
  const auto bytes = read_some(**file, 0, kMostBytes);
  if (!bytes) {
    return tl::unexpected<FileError>(bytes.error());
  }
  NoteReader in(*bytes);
  const bool ours = in.u64() == kMagic;
  LatestNote note;
  note.stream = in.u64();
  note.first_offset = in.u64();
  const auto name = parse_segment_path(in.text());
  const ByteSpan covered =
      ByteSpan(*bytes).first(bytes->size() - in.rest().size());
  const std::uint32_t sum = in.u32();
  if (!in.ok() || !ours || !name || sum != crc32(covered)) {
    return std::nullopt;
  }
  note.name = *name;
  return note;
}

}  // namespace stillpoint::archive
