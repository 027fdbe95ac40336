// Requests to the station's own HTTP server. What must hold for any bytes:
// every split gives the same requests, a head is never longer than allowed,
// what was read holds nothing that could end a line or stand for another
// request, and the answer is one head.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/net/http_head.h"
#include "stillpoint/net/http_message.h"

namespace {

using stillpoint::net::HttpHeadReader;
using stillpoint::net::HttpRequest;
using State = HttpHeadReader::State;

bool is_plain(std::string_view text, char first) {
  return std::all_of(text.begin(), text.end(), [first](char c) {
    return c == '\t' ||
           static_cast<unsigned char>(c) >= static_cast<unsigned char>(first);
  });
}

void check_request(const HttpRequest& request) {
  STILLPOINT_CHECK(request.method == "GET" || request.method == "HEAD");
  STILLPOINT_CHECK(request.target.starts_with('/'));
  STILLPOINT_CHECK(is_plain(request.target, '!'));
  STILLPOINT_CHECK(request.target.find('\t') == std::string::npos);
  STILLPOINT_CHECK(request.path().size() + request.query().size() <=
                   request.target.size());
  STILLPOINT_CHECK(request.fields.size() <= HttpHeadReader::kMaxFields);
  for (const auto& field : request.fields) {
    STILLPOINT_CHECK(!field.name.empty() && is_plain(field.name, '!'));
    STILLPOINT_CHECK(is_plain(field.value, ' '));
    STILLPOINT_CHECK(request.field(field.name).find(field.value) !=
                     std::string::npos);
  }
  STILLPOINT_CHECK(request.field("Transfer-Encoding").empty());
  const std::string length = request.field("Content-Length");
  STILLPOINT_CHECK(length.find_first_not_of('0') == std::string::npos);
}

void check_answer(const HttpHeadReader& reader) {
  auto page = stillpoint::net::http_status_page(
      reader.state() == State::kComplete ? 200 : reader.status());
  // The worst that a handler could do.
  page.extra.push_back({"X-Target", reader.request().target + "\r\n\r\n"});
  const std::string text =
      stillpoint::net::http_answer(page, true, reader.keep_alive());
  STILLPOINT_CHECK(text.find("\r\n\r\n") == text.size() - 4);
}

// All requests of the bytes one after the other, as one text.
std::string read(std::string_view bytes, std::size_t first, std::size_t size) {
  std::string outcome;
  HttpHeadReader reader;
  std::size_t head = 0;
  while (!bytes.empty() && reader.state() != State::kRefused) {
    std::string_view piece = bytes.substr(0, first);
    bytes.remove_prefix(piece.size());
    first = size;
    while (!piece.empty() && reader.state() != State::kRefused) {
      const std::size_t before = piece.size();
      reader.feed(piece);
      head += before - piece.size();
      STILLPOINT_CHECK(head <= HttpHeadReader::kMaxHead + 1);
      if (reader.state() == State::kComplete) {
        check_request(reader.request());
        check_answer(reader);
        outcome += reader.request().method + " " + reader.request().target;
        for (const auto& field : reader.request().fields) {
          outcome += "\n" + field.name + ":" + field.value;
        }
        outcome += reader.keep_alive() ? "\n+\n" : "\n-\n";
        reader = HttpHeadReader{};
        head = 0;
      }
    }
  }
  if (reader.state() == State::kRefused) {
    check_answer(reader);
    STILLPOINT_CHECK(!reader.keep_alive());
  }
  return outcome + std::to_string(reader.status()) +
         (reader.begun() ? "begun" : "") + (reader.is_head() ? "head" : "");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size == 0 || size > kMaxSize) {
    return 0;
  }
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const std::string whole = read(bytes, size, size);
  STILLPOINT_CHECK(read(bytes, 1, 1) == whole);
  STILLPOINT_CHECK(read(bytes, 1U + data[size - 1], 7) == whole);
  STILLPOINT_CHECK(read(bytes, size / 2 + 1, size) == whole);
  return 0;
}
