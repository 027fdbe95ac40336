// The body of an HTTP request, taken as it arrives: counted, or in chunks. As
// strict as the head, for the same reason.
//
//   source   RFC 9112, sections 6 and 7.1; trailers are read away (7.1.2)
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/net/http_fields.h"

namespace stillpoint::net {

// However the bytes are split, the result is the same. Holds no more than has
// come, whatever was announced.
class HttpBodyReader {
 public:
  // Of all that stands between the data: extensions and trailers.
  static constexpr std::size_t kMaxBeside = std::size_t{8} * 1024;
  static constexpr std::size_t kMaxSizeDigits = 16;

  enum class State : std::uint8_t { kMore, kComplete, kRefused };

  // No body: complete.
  HttpBodyReader() = default;
  //
  //   limit   of the data [bytes]; a body of more is refused
  HttpBodyReader(const BodyFields& how, std::size_t limit);

  // Takes bytes off the front of `bytes`; what follows the body stays there.
  State feed(std::string_view& bytes);

  [[nodiscard]] State state() const { return state_; }
  // Once refused: 400, 413 or 431.
  [[nodiscard]] int status() const { return status_; }
  // Bytes of data that have come.
  [[nodiscard]] std::size_t size() const { return body_.size(); }
  // What has come, which it loses.
  std::string take() { return std::exchange(body_, {}); }

 private:
  enum class Step : std::uint8_t {
    kCounted,    // data that a Content-Length counts
    kSize,       // the digits
    kBlank,      // behind them: only an extension may follow
    kExtension,  // to the end of the line
    kSizeEnd,    // LF must follow
    kData,
    kDataEnd,  // CR must follow
    kDataLf,
    kTrailer,      // at the beginning of a line
    kTrailerName,  // up to its colon
    kTrailerValue,
    kTrailerLf,
    kLastLf,
  };

  void take_data(std::string_view& bytes);
  void take_step(char c);
  void take_size(char c);
  void take_trailer(char c);
  void end_size();
  void expect(char c, char wanted, Step then);
  // Counts a byte that is no data; false where it may not stand there.
  bool take_beside(char c, int too_many);
  void complete() { state_ = State::kComplete; }
  void refuse(int status);

  State state_ = State::kComplete;
  Step step_ = Step::kCounted;
  int status_ = 0;
  std::size_t limit_ = 0;
  std::uint64_t left_ = 0;  // of the data, or of the chunk
  std::size_t digits_ = 0;
  std::size_t beside_ = 0;
  std::string body_;
};

}  // namespace stillpoint::net
