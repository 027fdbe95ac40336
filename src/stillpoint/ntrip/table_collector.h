// The body of a source table, gathered until it is whole.
#pragma once

#include <string>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/ntrip/sourcetable.h"

namespace stillpoint::ntrip {

class TableCollector {
 public:
  // True once its last line has come, or more than is read of any table.
  bool take(ByteSpan bytes) {
    const std::size_t before = text_.size();
    text_.append(bytes.begin(), bytes.end());
    const std::size_t from = before < kEnd.size() ? 0 : before - kEnd.size();
    const std::size_t at = text_.find(kEnd, from);
    const bool ended =
        at != std::string::npos && (at == 0 || text_[at - 1] == '\n');
    return ended || text_.size() > kMaxTableBytes;
  }

  [[nodiscard]] bool empty() const { return text_.empty(); }
  [[nodiscard]] Result<Sourcetable> table() const {
    return parse_sourcetable(text_);
  }

 private:
  static constexpr std::string_view kEnd = "ENDSOURCETABLE";

  std::string text_;
};

}  // namespace stillpoint::ntrip
