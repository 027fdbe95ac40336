// What a caster answers, up to the first byte of the body.
//
//   source   RTCM 10410.0 and 10410.1 (from memory); heads of real casters in
//            tests/vectors/ntrip.txt
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"

namespace stillpoint::ntrip {

enum class ResponseKind : std::uint8_t {
  kStream,    // the body is the stream
  kTable,     // the body is a source table
  kRefusal,   // `status` or `first_line` says why
  kRedirect,  // `location` says where to
  kUnknown,   // not an answer of a caster
};

struct ResponseHead {
  ResponseKind kind = ResponseKind::kUnknown;
  int status = 0;   // 200, 401, …; 0 for "ERROR - …" and what is unknown
  int version = 0;  // NTRIP 1 or 2; 0 for HTTP that does not say
  std::string first_line;  // without its end; empty where it is not text.
                           // Not fit for messages as it is
  bool chunked = false;
  std::optional<std::uint64_t> content_length;  // none when chunked
  std::string ntrip_version, content_type, www_authenticate, location;
};

// Reads "ICY 200 OK", "SOURCETABLE 200 OK", "HTTP/1.x NNN …" and "ERROR - …";
// words and header names in any case, lines that end with CRLF or LF. Behind
// ICY and SOURCETABLE the empty line may be missing: the first line that is no
// header begins the body. 1xx answers are skipped.
//
// Own code, not Boost.Beast: its parser knows HTTP only, wants CRLF, and would
// have to be fed a rewritten first line.
class ResponseReader {
 public:
  static constexpr std::size_t kMaxHead = std::size_t{64} * 1024;
  static constexpr std::size_t kMaxFirstLine = 4096;

  // Takes bytes; true once the head is complete, and then no more are taken.
  //
  //   errors   kTooLarge, kBadFormat (two lengths), kUnsupported (a coding
  //            other than chunked); from then on at every call
  Result<bool> feed(ByteSpan bytes);

  // The other side has closed: true if what came is a head all the same.
  Result<bool> finish();

  // The first line has come: someone is there.
  [[nodiscard]] bool answered() const { return place_ != Place::kFirstLine; }
  // Once complete:
  [[nodiscard]] const ResponseHead& head() const { return head_; }
  // The first bytes of the body, of those given to feed().
  [[nodiscard]] ByteSpan body() const;

 private:
  enum class Place : std::uint8_t {
    kFirstLine,
    kHeaders,         // up to an empty line
    kPerhapsHeaders,  // the same, or up to what is no header
    kDone,
  };

  void advance();
  bool fits(char c, std::size_t column);
  void end_line();
  void take_first_line(std::string_view line);
  void take_header(std::string_view line);
  void take_length(std::string_view value);
  void take_coding(std::string_view value);
  void end_head(std::size_t body);
  Result<bool> outcome() const;

  Place place_ = Place::kFirstLine;
  std::string text_;
  std::size_t line_ = 0, at_ = 0, body_ = 0;  // in text_
  bool colon_ = false;                        // in the line so far
  ResponseHead head_;
  std::optional<Error> error_;
};

}  // namespace stillpoint::ntrip
