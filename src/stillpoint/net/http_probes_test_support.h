// Probes of the request grammar and how they are put to the reader.
#pragma once

#include <gtest/gtest.h>

#include <string_view>
#include <vector>

#include "stillpoint/net/http_head.h"

namespace stillpoint::net::test {

struct Probe {
  const char* section;  // of RFC 9112, or as written
  const char* what;
  std::string_view bytes;
  int status;  // 0: taken
};

// What becomes of the bytes, handed over in pieces of `size`.
inline HttpHeadReader read_head(std::string_view bytes, std::size_t size) {
  HttpHeadReader reader;
  while (!bytes.empty() && reader.state() == HttpHeadReader::State::kMore) {
    std::string_view piece = bytes.substr(0, size);
    bytes.remove_prefix(piece.size());
    reader.feed(piece);
  }
  return reader;
}

inline void expect_all(const std::vector<Probe>& probes) {
  for (const Probe& probe : probes) {
    for (const std::size_t size : {probe.bytes.size(), std::size_t{1}}) {
      const HttpHeadReader reader = read_head(probe.bytes, size);
      const HttpHeadReader::State wanted =
          probe.status == 0 ? HttpHeadReader::State::kComplete
                            : HttpHeadReader::State::kRefused;
      EXPECT_EQ(reader.state(), wanted)
          << probe.section << " " << probe.what << ", by " << size;
      EXPECT_EQ(reader.status(), probe.status)
          << probe.section << " " << probe.what << ", by " << size;
    }
  }
}

}  // namespace stillpoint::net::test
