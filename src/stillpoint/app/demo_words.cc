#include "stillpoint/app/demo_words.h"

#include <filesystem>
#include <system_error>

namespace stillpoint::app {
namespace {

constexpr std::size_t kColumns = 78;

std::string shell_word(const std::string& text) {
  constexpr std::string_view kPlain =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-./:@=+,";
  if (!text.empty() && text.find_first_not_of(kPlain) == std::string::npos) {
    return text;
  }
  std::string quoted = "'";
  for (const char c : text) {
    if (c == '\'') {
      quoted += "'\\''";
    } else {
      quoted += c;
    }
  }
  quoted += '\'';
  return quoted;
}

std::string program() {
  std::error_code problem;
  const auto path = std::filesystem::read_symlink("/proc/self/exe", problem);
  return problem ? "stillpoint" : path.string();
}

}  // namespace

std::string wrapped(std::string_view text) {
  std::string lines;
  std::size_t column = 0;
  while (!text.empty()) {
    const auto end = text.find(' ');
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    if (column > 0 && column + 1 + word.size() > kColumns) {
      lines += '\n';
      column = 0;
    } else if (column > 0) {
      lines += ' ';
      ++column;
    }
    lines += word;
    column += word.size();
  }
  lines += '\n';
  return lines;
}

std::string typed_command(const std::vector<std::string>& words) {
  std::string line = shell_word(program());
  for (const std::string& word : words) {
    line += ' ';
    line += shell_word(word);
  }
  return line;
}

}  // namespace stillpoint::app
