#include <archive.h>
#include <archive_entry.h>

#include <array>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/pack/unpackers.h"

namespace stillpoint::pack {
namespace {

constexpr std::size_t kInputBlock = std::size_t{128} * 1024;

// What libarchive's callbacks get: our source, and its error on the way out.
struct Feed {
  std::unique_ptr<RawSource> source;
  std::vector<char> block = std::vector<char>(kInputBlock);
  std::optional<Error> error;
  std::int64_t position = 0;
};

la_ssize_t feed_read(archive* a, void* client, const void** bytes) {
  Feed& feed = *static_cast<Feed*>(client);
  auto got = feed.source->read(feed.block);
  if (!got) {
    archive_set_error(a, EIO, "%s", got.error().what.c_str());
    feed.error = std::move(got.error());
    return ARCHIVE_FATAL;
  }
  *bytes = feed.block.data();
  feed.position += static_cast<std::int64_t>(*got);
  return static_cast<la_ssize_t>(*got);
}

la_int64_t feed_seek(archive* /*a*/,
                     void* client,
                     la_int64_t offset,
                     int whence) {
  Feed& feed = *static_cast<Feed*>(client);
  std::int64_t target = offset;
  if (whence == SEEK_CUR) {
    target += feed.position;
  } else if (whence == SEEK_END) {
    target += feed.source->size().value_or(0);
  }
  if (!feed.source->seek(target)) {
    return ARCHIVE_FATAL;
  }
  feed.position = target;
  return target;
}

struct FreeArchive {
  void operator()(archive* a) const { archive_read_free(a); }
};
using Archive = std::unique_ptr<archive, FreeArchive>;

// Only what the first bytes promised is switched on, so that nothing is ever
// taken for something else.
Archive make_archive(Packing packing) {
  Archive a(archive_read_new());
  STILLPOINT_CHECK(a != nullptr);
  switch (packing) {
    case Packing::kCompress:
      archive_read_support_filter_compress(a.get());
      break;
    case Packing::kBzip2:
      archive_read_support_filter_bzip2(a.get());
      break;
    case Packing::kZstd:
      archive_read_support_filter_zstd(a.get());
      break;
    case Packing::kXz:
      archive_read_support_filter_xz(a.get());
      break;
    case Packing::kZip:
      archive_read_support_format_zip(a.get());
      return a;
    case Packing::kNone:
    case Packing::kGzip:
      STILLPOINT_CHECK(false);
  }
  archive_read_support_format_raw(a.get());
  archive_read_support_format_empty(a.get());
  return a;
}

class ArchiveStream final : public ByteStream {
 public:
  ArchiveStream(std::unique_ptr<RawSource> source, Packing packing)
      : packing_(packing) {
    feed_.source = std::move(source);
  }

  // Opens, and stands before the data of the one entry.
  Status start();
  Result<std::size_t> read(std::span<char> into) override;
  [[nodiscard]] const std::string& name() const override {
    return feed_.source->name();
  }

 private:
  Status open();
  Result<bool> next_entry(archive_entry*& entry);
  Status look_through_zip();
  tl::unexpected<Error> failure();

  Packing packing_;
  Feed feed_;
  Archive archive_;
  bool empty_ = false;
};

tl::unexpected<Error> ArchiveStream::failure() {
  if (feed_.error) {
    return fail(*feed_.error);
  }
  const char* text = archive_error_string(archive_.get());
  const std::string words = text != nullptr ? text : "no valid data";
  const bool truncated = words.find("runcated") != std::string::npos;
  return fail(truncated ? ErrorCode::kTruncated : ErrorCode::kBadFormat,
              "damaged packed data: " + words,
              name());
}

Status ArchiveStream::open() {
  archive_ = make_archive(packing_);
  archive* a = archive_.get();
  archive_read_set_read_callback(a, feed_read);
  archive_read_set_callback_data(a, &feed_);
  if (feed_.source->size()) {
    archive_read_set_seek_callback(a, feed_seek);
  }
  if (archive_read_open1(a) != ARCHIVE_OK) {
    return failure();
  }
  // What is too short for libarchive's own detection must not come through
  // packed.
  if (packing_ != Packing::kZip &&
      archive_filter_code(a, 0) == ARCHIVE_FILTER_NONE) {
    return fail(
        ErrorCode::kTruncated, "the packed data end within their head", name());
  }
  return ok();
}

// False after the last entry.
Result<bool> ArchiveStream::next_entry(archive_entry*& entry) {
  const int state = archive_read_next_header(archive_.get(), &entry);
  if (state == ARCHIVE_EOF) {
    return false;
  }
  if (state != ARCHIVE_OK && state != ARCHIVE_WARN) {
    return failure();
  }
  return true;
}

Status ArchiveStream::look_through_zip() {
  int files = 0;
  for (;;) {
    archive_entry* entry = nullptr;
    auto there = next_entry(entry);
    if (!there) {
      return fail(std::move(there.error()));
    }
    if (!*there) {
      break;
    }
    if (archive_entry_filetype(entry) == AE_IFREG) {
      ++files;
    }
    if (archive_entry_is_data_encrypted(entry) != 0) {
      return fail(ErrorCode::kUnsupported, "the zip is encrypted", name());
    }
  }
  if (files != 1) {
    return fail(ErrorCode::kBadFormat,
                "the zip holds " + std::to_string(files) +
                    " files, and only a zip of one file can be read",
                name(),
                "Unpack it and give the file itself.");
  }
  return ok();
}

Status ArchiveStream::start() {
  if (auto opened = open(); !opened) {
    return opened;
  }
  if (packing_ == Packing::kZip) {
    if (auto checked = look_through_zip(); !checked) {
      return checked;
    }
    archive_.reset();
    if (!feed_.source->seek(0)) {
      return fail(ErrorCode::kUnsupported,
                  "a zip cannot be read from a pipe",
                  name(),
                  "Unpack it first.");
    }
    feed_.position = 0;
    if (auto opened = open(); !opened) {
      return opened;
    }
  }
  for (;;) {
    archive_entry* entry = nullptr;
    auto there = next_entry(entry);
    if (!there) {
      return fail(std::move(there.error()));
    }
    empty_ = !*there;
    if (empty_ || packing_ != Packing::kZip ||
        archive_entry_filetype(entry) == AE_IFREG) {
      return ok();
    }
  }
}

Result<std::size_t> ArchiveStream::read(std::span<char> into) {
  if (empty_) {
    return std::size_t{0};
  }
  const la_ssize_t got =
      archive_read_data(archive_.get(), into.data(), into.size());
  if (got < 0) {
    return failure();
  }
  return static_cast<std::size_t>(got);
}

}  // namespace

Result<std::unique_ptr<ByteStream>> archive_stream(
    std::unique_ptr<RawSource> source, Packing packing) {
  auto stream = std::make_unique<ArchiveStream>(std::move(source), packing);
  if (auto started = stream->start(); !started) {
    return fail(std::move(started.error()));
  }
  return stream;
}

}  // namespace stillpoint::pack
