// A text that is shown again and again in the same place of a terminal.
#pragma once

#include <string>

namespace stillpoint::app {

// True where stdout is a terminal that may be written to anew: not with
// NO_COLOR, TERM=dumb or `plain` (--no-color).
bool can_redraw(bool plain);

class Screen {
 public:
  // Puts the text in place of the one before.
  void show(const std::string& text);

 private:
  std::size_t lines_ = 0;
};

}  // namespace stillpoint::app
