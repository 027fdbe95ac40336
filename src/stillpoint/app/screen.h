// A text that is shown again and again in the same place of a terminal.
#pragma once

#include <string>

namespace stillpoint::app {

// True where stdout is a terminal that may be written to anew: not with
// NO_COLOR, TERM=dumb or `plain` (--no-color).
bool can_redraw(bool plain);

class Screen {
 public:
  // Puts the text in place of the one before, as much as fits on the terminal.
  void show(const std::string& text);
  // The same for the last time: all of the text, on whatever stdout is.
  void end(const std::string& text);

 private:
  [[nodiscard]] std::string back() const;

  std::size_t rows_ = 0;  // that the text before takes
};

}  // namespace stillpoint::app
