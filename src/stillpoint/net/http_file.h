// A file that an HTTP answer is sent from, piece by piece: memory does not grow
// with its length.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::net {

// May be sent to any number of clients, also at a time.
//
//   threads  one; reading waits for the disk
class HttpFile {
 public:
  // A regular file as it is now: what is appended later is not sent.
  //
  //   errors   kIo with the path: it cannot be opened; kUnsupported: it is no
  //            regular file
  static Result<std::shared_ptr<HttpFile>> open(const std::string& path);

  //   fd       of a file that can be read at any place; it becomes the
  //            object's own
  //   length   bytes from its beginning
  HttpFile(int fd, std::uint64_t length) : fd_(fd), length_(length) {}
  ~HttpFile();
  HttpFile(const HttpFile&) = delete;
  HttpFile& operator=(const HttpFile&) = delete;

  [[nodiscard]] std::uint64_t length() const { return length_; }
  // Fills `into` from this place, as far as the length allows.
  //
  //   returns   bytes read; 0 where the disk fails or the file has become
  //             shorter
  std::size_t read_at(std::uint64_t place, char* into, std::size_t most) const;

 private:
  int fd_;
  std::uint64_t length_;
};

}  // namespace stillpoint::net
