// Where text formats are written to: memory, a file, packed or not. Writers of
// formats push into this and never see a file.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint {

class ByteSink {
 public:
  virtual ~ByteSink() = default;
  // Takes all the bytes.
  //
  //   errors   kIo with the path and the system's words
  virtual Status write(std::string_view bytes) = 0;
  // Nothing more comes. A sink that is destroyed without close() leaves
  // nothing behind under the final name.
  virtual Status close() = 0;
};

// Appends to a string that outlives the sink.
std::unique_ptr<ByteSink> memory_sink(std::string& into);

// Writes beside the final name ("PATH.part") and renames at close(), after the
// bytes are on the disk; a file of that name is replaced.
//
//   errors   kIo with the path and the system's words
Result<std::unique_ptr<ByteSink>> file_sink(const std::string& path);

// Packs what it takes (gzip, RFC 1952; no name and no time in the header, so
// that the same text gives the same bytes) and hands it on.
//
//   level   1 .. 9
std::unique_ptr<ByteSink> gzip_sink(std::unique_ptr<ByteSink> next,
                                    int level = 6);

}  // namespace stillpoint
