// Sentences into lines, and commands as they can be typed.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::app {

// A paragraph in lines of at most 78 columns; a longer word has its own.
std::string wrapped(std::string_view text);

// The words of a command of this program, quoted for a shell where need be.
std::string typed_command(const std::vector<std::string>& words);

}  // namespace stillpoint::app
