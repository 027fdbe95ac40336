// The head of an HTTP request, read as it arrives. Strict where two readers of
// the same bytes could understand two different requests.
//
//   source   RFC 9112 (HTTP/1.1), RFC 9110 (fields), RFC 3986 (targets); the
//            grammar of lines is Boost.Beast's
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/net/http_fields.h"
#include "stillpoint/net/http_message.h"

namespace stillpoint::net {

// The number of bytes that the body of this request may have; 0 refuses it.
using HttpBodyLimit = std::function<std::size_t(const HttpRequest& head)>;

// What a server takes. As it stands: no method that changes anything, and no
// bodies.
struct HttpRules {
  std::vector<std::string> methods = {"GET", "HEAD"};
  HttpBodyLimit body_limit;   // null: `most_body`
  std::size_t most_body = 0;  // bytes
};

struct HttpPeer {
  std::string address;
  bool tls = false;
};

// However the bytes are split, the result is the same.
class HttpHeadReader {
 public:
  // By the default rules.
  HttpHeadReader();
  // The rules outlive it; the peer is told to the body limit and to the
  // handler.
  explicit HttpHeadReader(const HttpRules& rules, const HttpPeer& peer = {});

  static constexpr std::size_t kMaxHead = std::size_t{8} * 1024;
  static constexpr std::size_t kMaxFields = 64;

  enum class State : std::uint8_t { kMore, kComplete, kRefused };

  // Takes bytes off the front of `bytes`; what follows the head stays there.
  State feed(std::string_view& bytes);

  [[nodiscard]] State state() const { return state_; }
  // Whether a byte of the request has come.
  [[nodiscard]] bool begun() const { return !head_.empty(); }
  // Once refused: 400, 405, 413, 414, 431, 501 or 505.
  [[nodiscard]] int status() const { return status_; }
  // Once complete.
  [[nodiscard]] const HttpRequest& request() const { return request_; }
  HttpRequest take_request() { return std::exchange(request_, {}); }
  // Of the body behind it, which is allowed; both 0 where there is none.
  [[nodiscard]] const BodyFields& body() const { return body_; }
  [[nodiscard]] std::size_t body_limit() const { return body_limit_; }
  // Whether the client waits to be told to send it.
  [[nodiscard]] bool expects_continue() const { return expects_continue_; }
  [[nodiscard]] bool is_1_1() const { return is_1_1_; }
  // Whether the client goes on with this connection; false once refused.
  [[nodiscard]] bool keep_alive() const { return keep_alive_; }
  // Whether the method was HEAD, refused or not.
  [[nodiscard]] bool is_head() const { return head_.starts_with("HEAD "); }

 private:
  void take(char c);
  void end_line();
  void end_first_line();
  void end_head();
  // The status that refuses it; 0: taken.
  int judge();
  int judge_body();
  void refuse(int status);

  const HttpRules* rules_;
  State state_ = State::kMore;
  int status_ = 0;
  std::string head_;            // without the empty lines before it
  std::size_t size_ = 0;        // bytes taken
  std::size_t line_begin_ = 0;  // in head_
  std::size_t lines_ = 0;       // ended
  bool keep_alive_ = false, is_1_1_ = false, expects_continue_ = false;
  BodyFields body_;
  std::size_t body_limit_ = 0;
  HttpRequest request_;
};

}  // namespace stillpoint::net
