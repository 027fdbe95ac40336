#include "stillpoint/net/http_message.h"

#include <algorithm>
#include <boost/beast/core/string.hpp>

namespace stillpoint::net {
namespace {

const char* reason(int status) {
  switch (status) {
    case 200:
      return "OK";
    case 400:
      return "Bad Request";
    case 404:
      return "Not Found";
    case 405:
      return "Method Not Allowed";
    case 413:
      return "Content Too Large";
    case 414:
      return "URI Too Long";
    case 431:
      return "Request Header Fields Too Large";
    case 503:
      return "Service Unavailable";
    case 505:
      return "HTTP Version Not Supported";
    default:
      return "";  // may be empty: RFC 9112, section 4
  }
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

std::string http_answer(const HttpResponse& response,
                        bool head_only,
                        bool keep_alive) {
  std::string text = "HTTP/1.1 " + std::to_string(response.status) + " " +
                     reason(response.status) + "\r\n";
  add_field(text, "Content-Type", response.content_type);
  add_field(text, "Content-Length", std::to_string(response.body.size()));
  add_field(text, "Cache-Control", "no-store");
  add_field(text, "X-Content-Type-Options", "nosniff");
  // Clients of HTTP/1.0 want to hear that it stays (RFC 9112, appendix C.2.2);
  // to those of 1.1 it says nothing new.
  add_field(text, "Connection", keep_alive ? "keep-alive" : "close");
  for (const HttpField& field : response.extra) {
    add_field(text, field.name, field.value);
  }
  text += "\r\n";
  if (!head_only) {
    text += response.body;
  }
  return text;
}

}  // namespace stillpoint::net
