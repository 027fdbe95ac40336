// One request and its answer over HTTP, as values.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::net {

class HttpFile;    // http_file.h
class HttpStream;  // http_stream.h

struct HttpField {
  std::string name, value;
};

struct HttpRequest {
  std::string method;  // one of HttpServerOptions::methods
  std::string target;  // as sent, without scheme and host: "/metrics?a=b"
  std::vector<HttpField> fields;
  std::string body;  // without its chunks; empty where there is none
  std::string
      address;       // of the client, numeric, without its port; IPv4 as such
  bool tls = false;  // it came encrypted

  // Up to the '?', and behind it.
  [[nodiscard]] std::string_view path() const;
  [[nodiscard]] std::string_view query() const;
  // All lines of the name, in any case, joined as one list (RFC 9110, section
  // 5.3); empty where there is none.
  [[nodiscard]] std::string field(std::string_view name) const;
};

struct HttpResponse {
  int status = 200;
  std::string content_type = "text/plain; charset=utf-8";
  std::string body;
  // A Cache-Control here stands in place of "no-store".
  std::vector<HttpField> extra;
  // In place of `body`, at most one of them.
  std::shared_ptr<HttpStream> stream;
  std::shared_ptr<HttpFile> file;
};

// Called from the loop: what takes long here holds up everything on the loop.
using HttpHandler = std::function<HttpResponse(const HttpRequest&)>;

// A page that only says its status: "404 Not Found".
HttpResponse http_status_page(int status);

// Whether answers of this status have a body at all: not 204 and 304.
bool has_body(int status);

// How the client is told where the body ends (RFC 9112, section 6.3).
enum class HttpEnd { kCounted, kChunked, kClosed };

// The head of an answer, with the empty line behind it. Without
// Content-Type and length where the status has no body.
//
//   keep_alive  false: says that the connection ends behind it
std::string http_answer_head(const HttpResponse& response,
                             HttpEnd end,
                             bool keep_alive);

// The bytes of an answer that is all in `body`, with its head.
//
//   head_only   leaves out the body, not its length (RFC 9110, section 9.3.2)
std::string http_answer(const HttpResponse& response,
                        bool head_only,
                        bool keep_alive);

}  // namespace stillpoint::net
