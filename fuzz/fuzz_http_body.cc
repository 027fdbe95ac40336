// Bodies of requests to the station's own HTTP server, with the heads that
// announce them. What must hold for any bytes: every split gives the same
// requests and the same refusal; a body is never longer than allowed nor than
// what came; nothing is taken behind a refusal.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/net/http_body.h"
#include "stillpoint/net/http_head.h"

namespace {

using stillpoint::net::HttpBodyReader;
using stillpoint::net::HttpHeadReader;
using stillpoint::net::HttpRules;
using Head = HttpHeadReader::State;
using Body = HttpBodyReader::State;

constexpr std::size_t kLimit = 1000;

HttpRules all_methods() {
  HttpRules rules;
  rules.methods = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"};
  rules.body_limit = [](const stillpoint::net::HttpRequest& head) {
    STILLPOINT_CHECK(head.method != "GET" && head.method != "HEAD");
    STILLPOINT_CHECK(head.target.starts_with('/'));
    return kLimit;
  };
  return rules;
}

// Requests one after the other, as a connection reads them.
class Requests {
 public:
  explicit Requests(const HttpRules& rules) : rules_(rules), head_(rules) {}

  void feed(std::string_view bytes) {
    while (!bytes.empty() && !refused_) {
      const std::size_t before = bytes.size();
      if (in_body_) {
        body_.feed(bytes);
      } else {
        head_.feed(bytes);
        begin_body();
      }
      STILLPOINT_CHECK(bytes.size() < before);
      end_body();
    }
  }

  [[nodiscard]] std::string outcome() const {
    return outcome_ + "\n" + std::to_string(head_.status()) + " " +
           std::to_string(body_.status()) + " " + std::to_string(body_.size());
  }

 private:
  void begin_body() {
    refused_ = head_.state() == Head::kRefused;
    if (head_.state() == Head::kComplete) {
      STILLPOINT_CHECK(head_.body().length <= head_.body_limit());
      STILLPOINT_CHECK(!head_.body().coded || head_.body().length == 0);
      const auto request = head_.take_request();
      outcome_ += request.method + " " + request.target + "\n";
      body_ = HttpBodyReader(head_.body(), head_.body_limit());
      in_body_ = true;
    }
  }

  void end_body() {
    STILLPOINT_CHECK(body_.size() <= kLimit);
    if (in_body_ && body_.state() == Body::kRefused) {
      STILLPOINT_CHECK(body_.status() >= 400 && body_.size() == 0);
      refused_ = true;
    } else if (in_body_ && body_.state() == Body::kComplete) {
      const std::string body = body_.take();
      STILLPOINT_CHECK(head_.body().coded ||
                       body.size() == head_.body().length);
      outcome_ += std::to_string(body.size()) + ":" + body + "\n";
      head_ = HttpHeadReader(rules_);
      body_ = {};
      in_body_ = false;
    }
  }

  const HttpRules& rules_;
  HttpHeadReader head_;
  HttpBodyReader body_;
  bool in_body_ = false, refused_ = false;
  std::string outcome_;
};

std::string read(std::string_view bytes, std::size_t first, std::size_t size) {
  static const HttpRules rules = all_methods();
  Requests requests(rules);
  while (!bytes.empty()) {
    const std::string_view piece = bytes.substr(0, first);
    bytes.remove_prefix(piece.size());
    requests.feed(piece);
    first = size;
  }
  return requests.outcome();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{32} * 1024;  // bounded time
  if (size == 0 || size > kMaxSize) {
    return 0;
  }
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const std::string whole = read(bytes, size, size);
  STILLPOINT_CHECK(whole.size() <= 3 * size + 100);
  STILLPOINT_CHECK(read(bytes, 1, 1) == whole);
  STILLPOINT_CHECK(read(bytes, 1U + data[size - 1], 7) == whole);
  STILLPOINT_CHECK(read(bytes, size / 2 + 1, size) == whole);
  return 0;
}
