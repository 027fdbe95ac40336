// One request and its answer over HTTP, as values. Bodies of requests do not
// exist here: nothing is ever sent to the station this way.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::net {

struct HttpField {
  std::string name, value;
};

struct HttpRequest {
  std::string method;  // GET or HEAD
  std::string target;  // as sent, without scheme and host: "/metrics?a=b"
  std::vector<HttpField> fields;

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
  std::vector<HttpField> extra;
};

// Called from the loop: what takes long here holds up everything on the loop.
using HttpHandler = std::function<HttpResponse(const HttpRequest&)>;

// A page that only says its status: "404 Not Found".
HttpResponse http_status_page(int status);

// The bytes of an answer, with its head.
//
//   head_only   leaves out the body, not its length (RFC 9110, section 9.3.2)
//   keep_alive  false: says that the connection ends behind it
std::string http_answer(const HttpResponse& response,
                        bool head_only,
                        bool keep_alive);

}  // namespace stillpoint::net
