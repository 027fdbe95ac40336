#include "stillpoint/profile/template.h"

#include <algorithm>
#include <utility>

#include "stillpoint/profile/placeholder.h"

namespace stillpoint::profile {
namespace {

constexpr std::string_view kLength = "length";

tl::unexpected<TextMistake> mistake(std::string what, std::string remedy) {
  return tl::unexpected(TextMistake{std::move(what), std::move(remedy)});
}

std::string at_letter(std::size_t index) {
  return "at letter " + std::to_string(index + 1);
}

bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

bool is_printable(char c) {
  return c >= ' ' && c <= '~';
}

std::optional<unsigned> hex_digit(char c) {
  constexpr std::string_view kDigits = "0123456789ABCDEF0123456789abcdef";
  const std::size_t digit = kDigits.find(c);
  return digit == std::string_view::npos
             ? std::nullopt
             : std::optional(static_cast<unsigned>(digit % 16));
}

// A byte of two digits at an index.
std::optional<std::uint8_t> hex_byte(std::string_view text, std::size_t at) {
  if (at + 1 >= text.size()) {
    return std::nullopt;
  }
  const auto high = hex_digit(text[at]);
  const auto low = hex_digit(text[at + 1]);
  if (!high || !low) {
    return std::nullopt;
  }
  return static_cast<std::uint8_t>(*high << 4 | *low);
}

// The inside of braces that open at an index.
std::optional<std::string_view> braces(std::string_view text, std::size_t at) {
  const std::size_t end = text.find('}', at);
  if (end == std::string_view::npos) {
    return std::nullopt;
  }
  return text.substr(at + 1, end - at - 1);
}

tl::unexpected<TextMistake> open_brace(std::size_t at) {
  return mistake(at_letter(at) + " a brace is open that nothing closes",
                 "close it, such as {x_m}");
}

tl::unexpected<TextMistake> no_hex(std::size_t at, std::string_view more) {
  return mistake(at_letter(at) + " stands no byte; allowed are two hex digits" +
                     std::string(more) + ", with blanks between",
                 "write it like 9E C4 01 00");
}

}  // namespace

Understood<std::vector<Piece>> parse_text_template(std::string_view text) {
  if (text.empty() || text.size() > kMostTextBytes) {
    return mistake(std::to_string(text.size()) + " letters; allowed are 1 .. " +
                       std::to_string(kMostTextBytes),
                   "give the command as the manual prints it");
  }
  std::vector<Piece> pieces(1);
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (!is_printable(c)) {
      return mistake(at_letter(i) +
                         " stands what cannot be printed; allowed are letters "
                         "of ASCII",
                     "give such bytes with hex, and the line end with "
                     "line_end");
    }
    if ((c == '{' || c == '}') && text.substr(i + 1, 1) == text.substr(i, 1)) {
      ++i;
    } else if (c == '}') {
      return mistake(at_letter(i) + " a brace is closed that nothing opens",
                     "write }} where a brace is meant");
    } else if (c == '{') {
      const auto inside = braces(text, i);
      if (!inside) {
        return open_brace(i);
      }
      const auto placeholder = parse_placeholder(*inside, true);
      if (!placeholder) {
        return tl::unexpected(placeholder.error());
      }
      pieces.back().value = *placeholder;
      pieces.emplace_back();
      i += inside->size() + 1;
      continue;
    }
    pieces.back().bytes.push_back(static_cast<std::uint8_t>(c));
  }
  return pieces;
}

Understood<HexTemplate> parse_hex_template(std::string_view text,
                                           std::size_t length_bytes,
                                           std::size_t most) {
  HexTemplate result;
  result.pieces.emplace_back();
  for (std::size_t i = 0; i < text.size();) {
    Piece& piece = result.pieces.back();
    if (is_blank(text[i])) {
      ++i;
      continue;
    }
    if (const auto byte = hex_byte(text, i)) {
      piece.bytes.push_back(*byte);
      result.size += 1;
      i += 2;
      continue;
    }
    if (text[i] != '{') {
      return no_hex(i, " and {placeholders}");
    }
    const auto inside = braces(text, i);
    if (!inside) {
      return open_brace(i);
    }
    if (*inside == kLength && length_bytes > 0 && !result.length_at) {
      result.length_at = result.size;
      result.length_piece = result.pieces.size() - 1;
      result.length_index = piece.bytes.size();
      piece.bytes.insert(piece.bytes.end(), length_bytes, 0);
      result.size += length_bytes;
    } else if (*inside == kLength) {
      return mistake("{length} " + at_letter(i) +
                         "; it stands once, in a packet with framing",
                     "name the framing, or write the bytes of the length");
    } else {
      const auto placeholder = parse_placeholder(*inside, false);
      if (!placeholder) {
        return tl::unexpected(placeholder.error());
      }
      piece.value = *placeholder;
      result.size += placeholder->form.bytes;
      result.pieces.emplace_back();
    }
    i += inside->size() + 2;
  }
  if (result.size == 0 || result.size > most) {
    return mistake(std::to_string(result.size) + " bytes; allowed are 1 .. " +
                       std::to_string(most),
                   "give the packet as the manual draws it");
  }
  return result;
}

Understood<std::vector<std::optional<std::uint8_t>>> parse_hex_pattern(
    std::string_view text) {
  std::vector<std::optional<std::uint8_t>> pattern;
  for (std::size_t i = 0; i < text.size();) {
    if (is_blank(text[i])) {
      ++i;
      continue;
    }
    const auto byte = hex_byte(text, i);
    if (!byte && text.substr(i, 2) != "??") {
      return no_hex(i, " and ?? for any byte");
    }
    pattern.push_back(byte);
    i += 2;
  }
  const auto given = std::count_if(pattern.begin(),
                                   pattern.end(),
                                   [](const auto& b) { return b.has_value(); });
  if (given < 2 || pattern.size() > kMostPatternBytes) {
    return mistake(
        std::to_string(pattern.size()) + " bytes, " + std::to_string(given) +
            " of them given; allowed are up to " +
            std::to_string(kMostPatternBytes) + ", at least 2 of them given",
        "give what tells this reply from all other bytes");
  }
  return pattern;
}

}  // namespace stillpoint::profile
