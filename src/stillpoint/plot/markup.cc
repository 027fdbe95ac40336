#include "stillpoint/plot/markup.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <iterator>

#include "stillpoint/core/check.h"
#include "stillpoint/plot/style.h"

namespace stillpoint::plot {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";  // U+FFFD

unsigned byte_at(std::string_view text, std::size_t i) {
  return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
}

// Bytes of the character that begins the text; 0 where none does.
std::size_t character_length(std::string_view text) {
  const unsigned first = byte_at(text, 0);
  if (first < 0x80) {
    return 1;
  }
  const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
  if (first < 0xC2 || first > 0xF4 || length > text.size()) {
    return 0;
  }
  std::uint32_t point = first & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte_at(text, i) & 0xC0U) != 0x80U) {
      return 0;
    }
    point = (point << 6U) | (byte_at(text, i) & 0x3FU);
  }
  const bool overlong =
      (length == 3 && point < 0x800) || (length == 4 && point < 0x10000);
  const bool surrogate = point >= 0xD800 && point <= 0xDFFF;
  const bool no_xml = point == 0xFFFE || point == 0xFFFF || point > 0x10FFFF;
  return overlong || surrogate || no_xml ? 0 : length;
}

std::string_view entity(char c) {
  switch (c) {
    case '&':
      return "&amp;";
    case '<':
      return "&lt;";
    case '>':
      return "&gt;";
    case '"':
      return "&quot;";
    case '\'':
      return "&#39;";
    default:
      return {};
  }
}

bool is_control(char c) {
  const auto u = static_cast<unsigned char>(c);
  return (u < 0x20 && c != '\t' && c != '\n' && c != '\r') || u == 0x7F;
}

bool is_id(std::string_view id) {
  return !id.empty() && std::ranges::all_of(id, [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
}

}  // namespace

std::string escape(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const std::size_t length = character_length(text);
    if (length == 0 || is_control(text[0])) {
      out += kReplacement;
      text.remove_prefix(1);
      continue;
    }
    const std::string_view replaced = entity(text[0]);
    out += replaced.empty() ? text.substr(0, length) : replaced;
    text.remove_prefix(length);
  }
  return out;
}

std::string px(double value) {
  STILLPOINT_CHECK(std::isfinite(value));
  const auto tenths = std::llround(std::clamp(value, -1e6, 1e6) * 10);
  const auto size = tenths < 0 ? -tenths : tenths;
  const char* sign = tenths < 0 ? "-" : "";
  return size % 10 == 0 ? fmt::format("{}{}", sign, size / 10)
                        : fmt::format("{}{}.{}", sign, size / 10, size % 10);
}

std::string open_picture(const Caption& caption, double height) {
  STILLPOINT_CHECK(is_id(caption.id));
  std::string out = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"plot\" role=\"img\" "
      "viewBox=\"0 0 {} {}\" aria-labelledby=\"{}-t {}-d\">"
      "<title id=\"{}-t\">{}</title><desc id=\"{}-d\">{}</desc>\n",
      px(kWidth),
      px(height),
      caption.id,
      caption.id,
      caption.id,
      escape(caption.title),
      caption.id,
      escape(caption.describe));
  put_text(out, 0, 20, "head", "start", caption.title);
  return out;
}

void put_text(std::string& out,
              double x,
              double y,
              std::string_view kind,
              std::string_view anchor,
              std::string_view text) {
  fmt::format_to(std::back_inserter(out),
                 "<text x=\"{}\" y=\"{}\" class=\"{}\" text-anchor=\"{}\">{}"
                 "</text>\n",
                 px(x),
                 px(y),
                 kind,
                 anchor,
                 escape(text));
}

void put_line(std::string& out,
              double x1,
              double y1,
              double x2,
              double y2,
              std::string_view kind) {
  fmt::format_to(std::back_inserter(out),
                 "<path class=\"{}\" d=\"M{} {}L{} {}\"/>\n",
                 kind,
                 px(x1),
                 px(y1),
                 px(x2),
                 px(y2));
}

std::string standalone(std::string picture) {
  const std::size_t end = picture.find('>');
  STILLPOINT_CHECK(end != std::string::npos);
  picture.insert(end + 1, fmt::format("<style>{}</style>", style()));
  return picture;
}

}  // namespace stillpoint::plot
