// The head of an HTTP request, read as it arrives. Strict where two readers of
// the same bytes could understand two different requests.
//
//   source   RFC 9112 (HTTP/1.1), RFC 9110 (fields), RFC 3986 (targets); the
//            grammar of lines is Boost.Beast's
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/net/http_message.h"

namespace stillpoint::net {

// However the bytes are split, the result is the same.
class HttpHeadReader {
 public:
  static constexpr std::size_t kMaxHead = std::size_t{8} * 1024;
  static constexpr std::size_t kMaxFields = 64;

  enum class State : std::uint8_t { kMore, kComplete, kRefused };

  // Takes bytes off the front of `bytes`; what follows the head stays there.
  State feed(std::string_view& bytes);

  [[nodiscard]] State state() const { return state_; }
  // Whether a byte of the request has come.
  [[nodiscard]] bool begun() const { return !head_.empty(); }
  // Once refused: 400, 405, 413, 414, 431 or 505.
  [[nodiscard]] int status() const { return status_; }
  // Once complete.
  [[nodiscard]] const HttpRequest& request() const { return request_; }
  // Whether the client goes on with this connection; false once refused.
  [[nodiscard]] bool keep_alive() const { return keep_alive_; }
  // Whether the method was HEAD, refused or not.
  [[nodiscard]] bool is_head() const { return head_.starts_with("HEAD "); }

 private:
  void take(char c);
  void end_line();
  void end_first_line();
  void end_head();
  void refuse(int status);

  State state_ = State::kMore;
  int status_ = 0;
  std::string head_;            // without the empty lines before it
  std::size_t size_ = 0;        // bytes taken
  std::size_t line_begin_ = 0;  // in head_
  std::size_t lines_ = 0;       // ended
  bool keep_alive_ = false;
  HttpRequest request_;
};

}  // namespace stillpoint::net
