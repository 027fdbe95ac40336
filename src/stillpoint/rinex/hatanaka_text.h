// Restores the RINEX text of a Hatanaka-compressed file line by line, exactly
// as it was before compression. For checks from outside and for export; epochs
// are read without it (observation_reader.h).
#pragma once

#include <memory>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_stream.h"

namespace stillpoint::rinex {

class HatanakaText {
 public:
  // Reads the two lines of the compression.
  //
  //   errors   kUnsupported (version), kBadFormat (not compressed), and what
  //            the stream reports
  static Result<HatanakaText> open(std::unique_ptr<ByteStream> stream);

  HatanakaText(HatanakaText&&) noexcept;
  HatanakaText& operator=(HatanakaText&&) noexcept;
  ~HatanakaText();

  // Next line without its end and without trailing blanks, valid until the
  // next call; false at the end. Any damage ends the text: a file that would
  // be silently different is worse than a short one.
  //
  //   errors   kBadFormat, kBadHeader, kTruncated with "path:line"
  Result<bool> next(std::string_view& line);

 private:
  class Impl;
  explicit HatanakaText(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace stillpoint::rinex
