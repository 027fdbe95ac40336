// Text and numbers as SVG and HTML take them, and the pieces of a picture that
// every kind of chart needs.
#pragma once

#include <string>
#include <string_view>

namespace stillpoint::plot {

// Text that is safe between tags and in quoted attributes of SVG and HTML.
//
//   text     any bytes; what is no UTF-8, and characters that XML does not
//            allow, become U+FFFD
//   source   XML 1.0 (fifth edition), section 2.2; RFC 3629, section 4
std::string escape(std::string_view text);

// A length in units of the drawing, to a tenth, without needless digits:
// "12.3", "-4", "0". Limited to +-1e6; `value` is finite.
std::string px(double value);

// What a picture says to those who do not see it. `describe` is a sentence
// with what is to be seen, not with how it is drawn.
struct Caption {
  std::string id;  // small letters, digits and hyphens; unique in the page
  std::string title;
  std::string describe;
};

// The opening tag with title and description, and the title in sight. A chart
// is kWidth wide; a page scales it.
inline constexpr double kWidth = 640;
std::string open_picture(const Caption& caption, double height);

// One text. `anchor` is "start", "middle" or "end"; `kind` a class of style().
void put_text(std::string& out,
              double x,
              double y,
              std::string_view kind,
              std::string_view anchor,
              std::string_view text);

void put_line(std::string& out,
              double x1,
              double y1,
              double x2,
              double y2,
              std::string_view kind);

// A picture of its own, with style() inside it.
std::string standalone(std::string picture);

}  // namespace stillpoint::plot
