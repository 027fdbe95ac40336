#include "stillpoint/report/paragraph.h"

#include <fmt/format.h>

#include <algorithm>

namespace stillpoint::report {
namespace {

constexpr std::size_t kWidth = 78;

}  // namespace

void paragraph(std::string& out,
               std::string_view label,
               std::string_view text) {
  out += fmt::format("{:<{}}", label, kIndent);
  std::size_t column = kIndent;
  while (!text.empty()) {
    const std::size_t blank = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, blank);
    if (column > kIndent && column + 1 + word.size() > kWidth) {
      out += '\n' + std::string(kIndent, ' ');
      column = kIndent;
    }
    if (column > kIndent) {
      out += ' ';
      ++column;
    }
    out += word;
    column += word.size();
    text.remove_prefix(std::min(blank + 1, text.size()));
  }
  out += '\n';
}

}  // namespace stillpoint::report
