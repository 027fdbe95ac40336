#include "stillpoint/net/http_message.h"

#include <algorithm>
#include <boost/beast/core/string.hpp>
#include <cstdint>

#include "stillpoint/net/http_file.h"

namespace stillpoint::net {
namespace {

struct Reason {
  int status;
  const char* text;
};

// RFC 9110, section 15; RFC 6585; RFC 4918 (507).
constexpr Reason kReasons[] = {
    {100, "Continue"},
    {200, "OK"},
    {201, "Created"},
    {202, "Accepted"},
    {204, "No Content"},
    {303, "See Other"},
    {304, "Not Modified"},
    {400, "Bad Request"},
    {401, "Unauthorized"},
    {403, "Forbidden"},
    {404, "Not Found"},
    {405, "Method Not Allowed"},
    {409, "Conflict"},
    {412, "Precondition Failed"},
    {413, "Content Too Large"},
    {414, "URI Too Long"},
    {415, "Unsupported Media Type"},
    {421, "Misdirected Request"},
    {422, "Unprocessable Content"},
    {428, "Precondition Required"},
    {429, "Too Many Requests"},
    {431, "Request Header Fields Too Large"},
    {500, "Internal Server Error"},
    {501, "Not Implemented"},
    {503, "Service Unavailable"},
    {505, "HTTP Version Not Supported"},
    {507, "Insufficient Storage"},
};

const char* reason(int status) {
  for (const Reason& row : kReasons) {
    if (row.status == status) {
      return row.text;
    }
  }
  return "";  // may be empty: RFC 9112, section 4
}

// A line end in a value would begin another field.
void add_field(std::string& head,
               std::string_view name,
               std::string_view value) {
  head.append(name).append(": ");
  for (const char c : value) {
    head += (c >= '\0' && c < ' ') || c == '\x7F' ? ' ' : c;
  }
  head += "\r\n";
}

bool names(const std::vector<HttpField>& fields, const char* name) {
  return std::any_of(fields.begin(), fields.end(), [name](const auto& field) {
    return boost::beast::iequals(field.name, name);
  });
}

}  // namespace

std::string_view HttpRequest::path() const {
  return std::string_view(target).substr(0, target.find('?'));
}

std::string_view HttpRequest::query() const {
  const std::size_t mark = target.find('?');
  return mark == std::string::npos ? std::string_view{}
                                   : std::string_view(target).substr(mark + 1);
}

std::string HttpRequest::field(std::string_view name) const {
  std::string all;
  for (const HttpField& field : fields) {
    if (boost::beast::iequals(field.name, {name.data(), name.size()})) {
      all += (all.empty() ? "" : ", ") + field.value;
    }
  }
  return all;
}

HttpResponse http_status_page(int status) {
  HttpResponse page;
  page.status = status;
  page.body = std::to_string(status) + " " + reason(status) + "\n";
  return page;
}

bool has_body(int status) {
  return status >= 200 && status != 204 && status != 304;
}

std::string http_answer_head(const HttpResponse& response,
                             HttpEnd end,
                             bool keep_alive) {
  std::string text = "HTTP/1.1 " + std::to_string(response.status) + " " +
                     reason(response.status) + "\r\n";
  if (has_body(response.status)) {
    add_field(text, "Content-Type", response.content_type);
    if (end == HttpEnd::kChunked) {
      add_field(text, "Transfer-Encoding", "chunked");
    } else if (end == HttpEnd::kCounted) {
      const std::uint64_t length =
          response.file ? response.file->length() : response.body.size();
      add_field(text, "Content-Length", std::to_string(length));
    }
  }
  if (!names(response.extra, "Cache-Control")) {
    add_field(text, "Cache-Control", "no-store");
  }
  add_field(text, "X-Content-Type-Options", "nosniff");
  // Clients of HTTP/1.0 want to hear that it stays (RFC 9112, appendix C.2.2);
  // to those of 1.1 it says nothing new.
  add_field(text, "Connection", keep_alive ? "keep-alive" : "close");
  for (const HttpField& field : response.extra) {
    add_field(text, field.name, field.value);
  }
  text += "\r\n";
  return text;
}

std::string http_answer(const HttpResponse& response,
                        bool head_only,
                        bool keep_alive) {
  std::string text = http_answer_head(response, HttpEnd::kCounted, keep_alive);
  if (!head_only && has_body(response.status)) {
    text += response.body;
  }
  return text;
}

}  // namespace stillpoint::net
