#include "stillpoint/products/last_line.h"

#include <string_view>

#include "stillpoint/core/text.h"

namespace stillpoint::products {

Status expect_end(LineReader& lines, const std::string& last) {
  for (;;) {
    std::string_view line;
    const auto more = lines.next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return ok();
    }
    if (!trim(line).empty()) {
      return fail(ErrorCode::kBadFormat,
                  "text after the " + last + " line",
                  lines.where());
    }
  }
}

}  // namespace stillpoint::products
