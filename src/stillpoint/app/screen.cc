#include "stillpoint/app/screen.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <string_view>

#include "stillpoint/app/output.h"

namespace stillpoint::app {
namespace {

struct Size {
  std::size_t rows = 24, columns = 80;
};

Size terminal_size() {
  winsize told{};
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &told) != 0 || told.ws_row < 2 ||
      told.ws_col == 0) {
    return {};
  }
  return {told.ws_row, told.ws_col};
}

// As much of a text as a terminal can hold, and how many of its rows that is.
// What has left it at the top cannot be written anew.
struct Page {
  std::string_view text;
  std::size_t rows = 0;
};

Page first_page(std::string_view text, const Size& size) {
  Page page;
  std::size_t end = 0;
  while (end < text.size()) {
    const auto line_end = std::min(text.find('\n', end), text.size() - 1);
    const std::size_t width = line_end - end;
    const std::size_t rows =
        std::max<std::size_t>(1, (width + size.columns - 1) / size.columns);
    if (page.rows + rows > size.rows - 1) {
      break;
    }
    page.rows += rows;
    end = line_end + 1;
  }
  page.text = text.substr(0, end);
  return page;
}

}  // namespace

bool can_redraw(bool plain) {
  const char* no_color = std::getenv("NO_COLOR");
  const char* term = std::getenv("TERM");
  return !plain && isatty(STDOUT_FILENO) == 1 &&
         (no_color == nullptr || *no_color == '\0') && term != nullptr &&
         std::string_view(term) != "dumb";
}

void Screen::show(const std::string& text) {
  const Page page = first_page(text, terminal_size());
  print_data(back() + std::string(page.text));
  rows_ = page.rows;
}

void Screen::end(const std::string& text) {
  print_data(back() + text);
  rows_ = 0;
}

// Up to the first line, and all below it away.
std::string Screen::back() const {
  return rows_ == 0 ? "" : "\x1b[" + std::to_string(rows_) + "A\x1b[J";
}

}  // namespace stillpoint::app
