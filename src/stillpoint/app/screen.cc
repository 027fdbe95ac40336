#include "stillpoint/app/screen.h"

#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <string_view>

#include "stillpoint/app/output.h"

namespace stillpoint::app {

bool can_redraw(bool plain) {
  const char* no_color = std::getenv("NO_COLOR");
  const char* term = std::getenv("TERM");
  return !plain && isatty(STDOUT_FILENO) == 1 &&
         (no_color == nullptr || *no_color == '\0') && term != nullptr &&
         std::string_view(term) != "dumb";
}

void Screen::show(const std::string& text) {
  std::string out;
  if (lines_ > 0) {
    // Up to the first line, and all below it away.
    out = "\x1b[" + std::to_string(lines_) + "A\x1b[J";
  }
  out += text;
  print_data(out);
  lines_ = static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace stillpoint::app
