// What the harnesses of product files share.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::fuzz {

// A text that the writer takes, or nothing.
template <class Product>
std::string written(Status (*write)(const Product&, ByteSink&),
                    const Product& product) {
  std::string text;
  const auto sink = memory_sink(text);
  if (!write(product, *sink) || !sink->close()) {
    return {};
  }
  return text;
}

// What is refused says where and what.
inline void check_refusal(const Error& error, std::string_view place) {
  STILLPOINT_CHECK(error.where.starts_with(place));
  STILLPOINT_CHECK(!error.what.empty());
}

}  // namespace stillpoint::fuzz
