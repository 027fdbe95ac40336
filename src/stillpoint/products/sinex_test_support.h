// What the tests of SINEX share.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <utility>

#include "stillpoint/products/sinex_reader.h"

namespace stillpoint::products {

inline Result<SinexProduct> read_made(const std::string& text,
                                      SinexReaderOptions options = {}) {
  return read_sinex(memory_stream(text, "made.snx"), options);
}

inline const std::string kFirst =
    "%=SNX 2.02 LHO 24:189:10055 LHO 24:184:86382 24:185:86382 P 00012 2 S\n";
inline const std::string kEnd = "%ENDSNX\n";

inline std::string block(const std::string& name, const std::string& rows) {
  std::string text = "+";
  text += name;
  text += "\n*HEADS OF COLUMNS\n";
  text += rows;
  text += "-";
  text += name;
  text += "\n";
  return text;
}

// A file of one block; a failure of the reader ends the test.
inline SinexProduct file_of(const std::string& blocks) {
  auto product = read_made(kFirst + blocks + kEnd);
  if (!product) {
    ADD_FAILURE() << product.error().text();
  }
  return std::move(product.value());  // throws what ends the test
}

}  // namespace stillpoint::products
