#include "stillpoint/pack/pack_test_support.h"

#include <archive.h>
#include <archive_entry.h>

#include <stdexcept>

namespace stillpoint::test {
namespace {

struct Writer {
  archive* a = archive_write_new();
  std::string buffer = std::string(std::size_t{1} << 22U, '\0');
  std::size_t used = 0;

  void open() {
    archive_write_set_bytes_in_last_block(a, 1);
    if (archive_write_open_memory(a, buffer.data(), buffer.size(), &used) !=
        ARCHIVE_OK) {
      throw std::runtime_error(archive_error_string(a));
    }
  }
  void add(const std::string& name, const std::string& content) {
    archive_entry* entry = archive_entry_new();
    archive_entry_set_pathname(entry, name.c_str());
    archive_entry_set_filetype(entry,
                               name.ends_with('/') ? AE_IFDIR : AE_IFREG);
    archive_entry_set_perm(entry, 0644);
    archive_entry_set_size(entry, static_cast<la_int64_t>(content.size()));
    if (archive_write_header(a, entry) != ARCHIVE_OK ||
        archive_write_data(a, content.data(), content.size()) < 0) {
      throw std::runtime_error(archive_error_string(a));
    }
    archive_entry_free(entry);
  }
  std::string finish() {
    archive_write_close(a);
    archive_write_free(a);
    return buffer.substr(0, used);
  }
};

}  // namespace

std::string packed(const std::string& text, Filter filter) {
  Writer writer;
  switch (filter) {
    case Filter::kGzip:
      archive_write_add_filter_gzip(writer.a);
      break;
    case Filter::kCompress:
      archive_write_add_filter_compress(writer.a);
      break;
    case Filter::kBzip2:
      archive_write_add_filter_bzip2(writer.a);
      break;
    case Filter::kZstd:
      archive_write_add_filter_zstd(writer.a);
      break;
    case Filter::kXz:
      archive_write_add_filter_xz(writer.a);
      break;
  }
  archive_write_set_format_raw(writer.a);
  writer.open();
  writer.add("data", text);
  return writer.finish();
}

std::string zipped(
    const std::vector<std::pair<std::string, std::string>>& files) {
  Writer writer;
  archive_write_set_format_zip(writer.a);
  writer.open();
  for (const auto& [name, content] : files) {
    writer.add(name, content);
  }
  return writer.finish();
}

std::string sample_text(std::size_t bytes) {
  std::string text;
  unsigned state = 1;
  while (text.size() < bytes) {
    state = state * 1664525U + 1013904223U;
    text += std::to_string(state >> 8U);
    text += (state >> 28U) == 0 ? "\r\n" : (state >> 30U) == 0 ? "\n" : " ";
  }
  text.resize(bytes);
  return text;
}

Drained drain(ByteStream& stream, std::size_t step) {
  Drained all;
  std::string block(step, '\0');
  for (;;) {
    auto got = stream.read(block);
    if (!got) {
      all.failed = true;
      all.error = got.error();
      return all;
    }
    if (*got == 0) {
      return all;
    }
    all.bytes.append(block, 0, *got);
  }
}

}  // namespace stillpoint::test
