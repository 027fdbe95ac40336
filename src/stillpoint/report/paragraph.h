// Labelled paragraphs of the texts for people.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace stillpoint::report {

// Columns that a label takes; the text begins behind them.
inline constexpr std::size_t kIndent = 13;

// Appends "Label        text", wrapped at words, continued under the text.
void paragraph(std::string& out, std::string_view label, std::string_view text);

}  // namespace stillpoint::report
