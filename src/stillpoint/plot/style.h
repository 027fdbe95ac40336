// The one look of all pictures: colours, widths and letter sizes, as CSS.
#pragma once

#include <cstdint>
#include <string>

namespace stillpoint::plot {

// Up to three series share a chart. They differ in colour and in dashes, so
// that a grey print tells them apart too.
enum class Series : std::uint8_t { kFirst, kSecond, kThird };
char series_letter(Series series);  // 'a', 'b', 'c': the end of class names

// A signed value as one of kValueSteps classes "v0" … "v8", blue for negative,
// ochre for positive, the middle one around zero. The colours run between two
// hues that all common kinds of colour blindness tell apart; in grey the ends
// are told apart by the signs that the sky map draws.
inline constexpr int kValueSteps = 9;

// limit > 0: the value of the outermost step; values beyond it take it too.
int value_step(double value, double limit);

// The rules, without a surrounding <style>. Light and dark follow the reader's
// setting; letters grow where the picture is shown small. Only classes below
// ".plot" are touched, and custom properties named --plot-… .
std::string style();

}  // namespace stillpoint::plot
