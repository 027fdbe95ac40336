// Test program: reads a file and writes it again, for readings by others.
//
//   rewrite_files navigation FILE 211|305|402 [LETTER]
//   rewrite_files sp3 FILE
// LETTER is the one system of the file. What has no place is named on stderr.
// Exit: 0; 2 usage; 3 the file cannot be read or written.
#include <cstdio>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/pack/byte_sink.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/products/sp3.h"
#include "stillpoint/products/sp3_writer.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "stillpoint/rinex/navigation_writer.h"

namespace {

using namespace stillpoint;

std::optional<rinex::Version> version_of(std::string_view word) {
  if (word == "211") {
    return rinex::Version::k211;
  }
  if (word == "305") {
    return rinex::Version::k305;
  }
  if (word == "402") {
    return rinex::Version::k402;
  }
  return std::nullopt;
}

Status rewrite_navigation(const char* path,
                          const rinex::NavigationWriterOptions& options,
                          ByteSink& sink) {
  auto stream = open_unpacked(path);
  if (!stream) {
    return fail(std::move(stream.error()));
  }
  const auto file = rinex::read_navigation(std::move(*stream));
  if (!file) {
    return fail(file.error());
  }
  rinex::LeftOutValues left_out;
  Status done = rinex::write_navigation(file->data, options, sink, left_out);
  for (const auto& [what, count] : left_out) {
    std::fprintf(stderr,
                 "%s: %llu\n",
                 what.c_str(),
                 static_cast<unsigned long long>(count));
  }
  return done;
}

Status rewrite_sp3(const char* path, ByteSink& sink) {
  auto stream = open_unpacked(path);
  if (!stream) {
    return fail(std::move(stream.error()));
  }
  const auto product = products::read_sp3(std::move(*stream));
  if (!product) {
    return fail(product.error());
  }
  return products::write_sp3(*product, {}, sink);
}

int usage() {
  std::fputs(
      "usage: rewrite_files navigation FILE 211|305|402 [LETTER]\n"
      "       rewrite_files sp3 FILE\n",
      stderr);
  return 2;
}

}  // namespace

int main(int argc, char** argv) {
  const std::string_view kind = argc > 1 ? argv[1] : "";
  std::string text;
  const auto sink = memory_sink(text);
  Status done = ok();
  if (kind == "navigation" && (argc == 4 || argc == 5)) {
    const auto version = version_of(argv[3]);
    if (!version) {
      return usage();
    }
    rinex::NavigationWriterOptions options;
    options.version = *version;
    options.program = "rewrite_files";
    if (argc == 5) {
      options.only = system_from_letter(argv[4][0]);
    }
    done = rewrite_navigation(argv[2], options, *sink);
  } else if (kind == "sp3" && argc == 3) {
    done = rewrite_sp3(argv[2], *sink);
  } else {
    return usage();
  }
  if (!done) {
    std::fprintf(stderr, "%s\n", done.error().text().c_str());
    return 3;
  }
  std::fwrite(text.data(), 1, text.size(), stdout);
  return 0;
}
