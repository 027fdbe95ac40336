// What a caster answers, byte by byte.
//
//   source   RTCM 10410.0 and 10410.1 from memory; RFC 9110 for dates, Allow
//            and Retry-After
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/ntrip/request.h"

namespace stillpoint::ntrip {

// What all answers of one caster have in common.
struct AnswerStyle {
  std::string program_version;  // for "NTRIP Stillpoint/" and this
  std::int64_t unix_s = 0;      // now, for Date
};

// The head before a stream.
//
//   chunked  version 2 over HTTP/1.1; a version 2 rover that speaks HTTP/1.0
//            gets the stream as it is
std::string stream_head(Version version,
                        bool chunked,
                        const AnswerStyle& style);

// The head before a source table of so many bytes.
std::string table_head(Version version,
                       std::size_t size,
                       const AnswerStyle& style);

// A whole answer that refuses: 400, 401, 403, 404, 405, 408, 431, 503 or 505.
//
//   mount    for the realm of 401
std::string refusal_text(int status,
                         Version version,
                         std::string_view mount,
                         const AnswerStyle& style);

// "Tue, 29 Jan 2019 16:40:58 GMT"
std::string http_date(std::int64_t unix_s);

}  // namespace stillpoint::ntrip
