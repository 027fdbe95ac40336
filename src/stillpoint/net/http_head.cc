#include "stillpoint/net/http_head.h"

#include <algorithm>
#include <boost/asio/buffer.hpp>
#include <boost/beast/http/empty_body.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/rfc7230.hpp>
#include <optional>

namespace stillpoint::net {
namespace {

namespace http = boost::beast::http;
using boost::system::error_code;

constexpr std::string_view kLineEnd = "\r\n";

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// HTAB, SP, VCHAR, obs-text, and the line's end (RFC 9110, section 5.5).
bool may_stand_in_a_head(char c) {
  return c == '\t' || c == '\r' || c == '\n' ||
         !((c >= '\0' && c < ' ') || c == '\x7F');
}

std::string text_of(boost::beast::string_view view) {
  return {view.data(), view.size()};
}

using Message = http::request<http::empty_body>;

// Beast's reading of a whole head; nothing where it is not well formed.
std::optional<Message> parse(const std::string& head) {
  http::request_parser<http::empty_body> parser;
  parser.eager(false);
  parser.header_limit(static_cast<std::uint32_t>(head.size()));
  parser.body_limit(boost::none);  // whether there is one is our affair
  error_code code;
  parser.put(boost::asio::buffer(head.data(), head.size()), code);
  if ((code && code != http::error::need_more) || !parser.is_header_done()) {
    return std::nullopt;
  }
  return parser.release();
}

// RFC 9112, section 9.3.
bool goes_on(const std::string& connection, bool is_1_1) {
  http::token_list options{connection};
  return !options.exists("close") && (is_1_1 || options.exists("keep-alive"));
}

bool contains(const std::vector<std::string>& all, std::string_view one) {
  return std::find(all.begin(), all.end(), one) != all.end();
}

// Of all that servers here can be told to take (RFC 9110, section 9; RFC 5789).
bool is_known(std::string_view method) {
  constexpr std::string_view kKnown[] = {
      "GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"};
  return std::find(std::begin(kKnown), std::end(kKnown), method) !=
         std::end(kKnown);
}

const HttpRules& default_rules() {
  static const HttpRules rules;
  return rules;
}

}  // namespace

HttpHeadReader::HttpHeadReader() : HttpHeadReader(default_rules()) {}

HttpHeadReader::HttpHeadReader(const HttpRules& rules, const HttpPeer& peer)
    : rules_(&rules) {
  request_.address = peer.address;
  request_.tls = peer.tls;
}

HttpHeadReader::State HttpHeadReader::feed(std::string_view& bytes) {
  while (state_ == State::kMore && !bytes.empty()) {
    const char c = bytes.front();
    bytes.remove_prefix(1);
    if (++size_ > kMaxHead) {
      refuse(lines_ == 0 ? 414 : 431);
    } else {
      take(c);
    }
  }
  return state_;
}

void HttpHeadReader::take(char c) {
  const char before = head_.empty() ? '\n' : head_.back();
  // CR and LF only together (RFC 9112, section 2.2).
  if (!may_stand_in_a_head(c) || (before == '\r') != (c == '\n')) {
    return refuse(400);
  }
  head_ += c;
  if (c == '\n') {
    end_line();
  } else if ((c == ' ' || c == '\t') && head_.size() == line_begin_ + 1) {
    // A folded line, or a blank before the first field: sections 5.2 and 2.2.
    refuse(400);
  }
}

void HttpHeadReader::end_line() {
  const bool empty = head_.size() == line_begin_ + kLineEnd.size();
  if (empty && lines_ == 0) {
    head_.clear();  // lines before the request are skipped: section 2.2
    return;
  }
  ++lines_;
  if (lines_ == 1) {
    end_first_line();
  } else if (empty) {
    end_head();
  } else if (lines_ - 1 > kMaxFields) {
    refuse(431);
  }
  line_begin_ = head_.size();
}

// What is no request of HTTP/1 is answered without waiting for more.
void HttpHeadReader::end_first_line() {
  constexpr std::size_t kVersion = 8;  // "HTTP/1.1"
  const std::size_t end = head_.size() - kLineEnd.size();
  const std::size_t blank = head_.rfind(' ', end);
  if (blank == std::string::npos || end - blank - 1 != kVersion ||
      head_.compare(blank + 1, 5, "HTTP/") != 0 || !is_digit(head_[end - 3]) ||
      head_[end - 2] != '.' || !is_digit(head_[end - 1])) {
    return refuse(400);
  }
  if (head_[end - 3] != '1') {
    return refuse(505);
  }
  // A later 1.x is read as the latest that we know: RFC 9110, section 2.5.
  if (head_[end - 1] > '1') {
    head_[end - 1] = '1';
  }
}

void HttpHeadReader::end_head() {
  const auto message = parse(head_);
  if (!message) {
    return refuse(400);
  }
  is_1_1_ = message->version() == 11;
  request_.method = text_of(message->method_string());
  request_.target = text_of(message->target());
  for (const auto& field : *message) {
    request_.fields.push_back(
        {text_of(field.name_string()), text_of(field.value())});
  }
  if (const int status = judge(); status != 0) {
    return refuse(status);
  }
  keep_alive_ = goes_on(request_.field("Connection"), is_1_1_);
  expects_continue_ =
      is_1_1_ && stillpoint::net::expects_continue(request_.fields);
  state_ = State::kComplete;
}

int HttpHeadReader::judge() {
  body_ = read_body_fields(request_.fields);
  if (!is_host_right(request_.fields, is_1_1_) || body_.damaged ||
      (body_.coded && !is_1_1_)) {
    return 400;
  }
  if (!is_known(request_.method)) {
    return 501;
  }
  if (!contains(rules_->methods, request_.method)) {
    return 405;
  }
  auto target = origin_form(request_.target);
  if (!target) {
    return 400;
  }
  request_.target = *std::move(target);
  return judge_body();
}

int HttpHeadReader::judge_body() {
  if (!body_.coded && body_.length == 0) {
    return 0;
  }
  // One of GET or HEAD would mean nothing (RFC 9110, sections 9.3.1 and 9.3.2).
  const bool may_have_one =
      request_.method != "GET" && request_.method != "HEAD";
  if (may_have_one) {
    body_limit_ =
        rules_->body_limit ? rules_->body_limit(request_) : rules_->most_body;
  }
  if (body_limit_ == 0 || body_.length > body_limit_) {
    return 413;
  }
  return body_.coded && !body_.only_chunked ? 501 : 0;  // RFC 9112, section 6.1
}

void HttpHeadReader::refuse(int status) {
  status_ = status;
  state_ = State::kRefused;
}

}  // namespace stillpoint::net
