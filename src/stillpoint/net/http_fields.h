// What a server must look at in a well-formed head before it believes it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/net/http_message.h"

namespace stillpoint::net {

// "/path?query" of "/path?query" or "http://host/path?query"; nothing for any
// other form, and for bytes that no target may hold.
//
//   source   RFC 9112, section 3.2; RFC 3986, sections 2 and 3.3
std::optional<std::string> origin_form(std::string_view target);

// Exactly one Host that can be one; none is right before HTTP/1.1.
//
//   source   RFC 9112, section 3.2; RFC 9110, section 7.2
bool is_host_right(const std::vector<HttpField>& fields, bool is_1_1);

// Whether a body follows, in the two ways of saying so.
struct BodyFields {
  bool damaged = false;       // nobody can tell where the request ends
  bool coded = false;         // Transfer-Encoding, chunked at its end
  bool only_chunked = false;  // and by nothing else
  std::uint64_t length = 0;   // of Content-Length
};

// Whether the client waits to be told to send the body.
//
//   source   RFC 9110, section 10.1.1
bool expects_continue(const std::vector<HttpField>& fields);

// More than one Content-Length is damage even where they agree; so is one
// beside a Transfer-Encoding.
//
//   source   RFC 9112, sections 6.1 to 6.3
BodyFields read_body_fields(const std::vector<HttpField>& fields);

}  // namespace stillpoint::net
