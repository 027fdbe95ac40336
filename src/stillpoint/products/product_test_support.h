// What the tests of product files share.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/pack/byte_sink.h"

namespace stillpoint::products {

// Keeps what is written, or has no room for it.
class TextSink final : public ByteSink {
 public:
  Status write(std::string_view bytes) override {
    if (full) {
      return fail(ErrorCode::kIo, "no space left", "made");
    }
    text += bytes;
    return ok();
  }
  Status close() override { return ok(); }

  std::string text;
  bool full = false;
};

// A header line: text, blanks, the label at its column.
inline std::string labelled(std::string text,
                            std::string_view label,
                            std::size_t at = 60) {
  text.append(text.size() < at ? at - text.size() : 0, ' ');
  text += label;
  text += '\n';
  return text;
}

}  // namespace stillpoint::products
