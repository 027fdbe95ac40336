#include "stillpoint/products/sp3_header_text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string_view>
#include <tuple>
#include <utility>

#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kPerLine = 17;
constexpr std::size_t kLeastLines = 5;
constexpr std::size_t kLeastComments = 4;
constexpr double kMaxIntervalS = 100'000;

std::string padded(std::string_view text, std::size_t width, bool right) {
  std::string result(text);
  result.insert(right ? 0 : result.size(),
                width > text.size() ? width - text.size() : 0,
                ' ');
  return result;
}

Status check_text(std::string_view text, std::size_t width, const char* what) {
  const bool ascii = std::all_of(
      text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; });
  if (text.size() <= width && ascii) {
    return ok();
  }
  return fail(ErrorCode::kOutOfRange,
              std::string(what) + " '" + (ascii ? std::string(text) : "…") +
                  "' is not at most " + std::to_string(width) +
                  " characters of ASCII",
              {},
              "Shorten it, and write it in plain ASCII.");
}

Status check(const PreciseProduct& product,
             const Sp3WriterOptions& options,
             std::string_view frame,
             std::string_view agency) {
  constexpr std::size_t kComment = 77;
  for (const auto& [text, width, what] :
       {std::tuple<std::string_view, std::size_t, const char*>{
            options.data_used, 5, "the data used"},
        {frame, 5, "the coordinate system"},
        {options.orbit_type, 3, "the orbit type"},
        {agency, 4, "the agency"}}) {
    if (Status fits = check_text(text, width, what); !fits) {
      return fits;
    }
  }
  for (const std::string& comment : options.comments) {
    if (Status fits = check_text(comment, kComment, "the comment"); !fits) {
      return fits;
    }
  }
  const auto in_range = [](double v, double below) {
    return v >= 0 && v < below;
  };
  if (!in_range(product.interval_s, kMaxIntervalS) || product.interval_s <= 0) {
    return fail(ErrorCode::kOutOfRange,
                "an interval of " + std::to_string(product.interval_s) +
                    " s is not between 0 and 100000 s");
  }
  if (!in_range(options.position_base, 100) ||
      !in_range(options.clock_base, 100)) {
    return fail(ErrorCode::kOutOfRange,
                "a base of accuracies is not between 0 and 100");
  }
  for (const auto& [sat, exponent] : options.accuracy_exponents) {
    if (exponent < 0 || exponent > 99) {
      return fail(ErrorCode::kOutOfRange,
                  "the accuracy exponent " + std::to_string(exponent) + " of " +
                      sat.text() + " is not 0 .. 99");
    }
  }
  return ok();
}

std::string second_line(const PreciseProduct& product, GnssTime start) {
  constexpr int kMjdOfWeek0 = 44'244;  // 1980-01-06
  constexpr int kDaysOfWeek = 7;
  constexpr double kDayS = 86'400;
  const int days = static_cast<int>(std::floor(start.tow_s() / kDayS));
  return "## " + whole_text(start.week(), 4) + ' ' +
         fixed_text(start.tow_s(), 15, 8) + ' ' +
         fixed_text(product.interval_s, 14, 8) + ' ' +
         whole_text(kMjdOfWeek0 + kDaysOfWeek * start.week() + days, 5) + ' ' +
         fixed_text((start.tow_s() - days * kDayS) / kDayS, 15, 13) + '\n';
}

// Lines of 17 entries each behind a head; the first head may hold a count.
template <class Entry>
std::string table(std::size_t count,
                  const std::string& first,
                  const std::string& head,
                  Entry entry) {
  const std::size_t lines =
      std::max(kLeastLines, (count + kPerLine - 1) / kPerLine);
  std::string text;
  for (std::size_t line = 0; line < lines; ++line) {
    text += line == 0 ? first : head;
    for (std::size_t i = line * kPerLine; i < (line + 1) * kPerLine; ++i) {
      text += i < count ? entry(i) : std::string("  0");
    }
    text += '\n';
  }
  return text;
}

std::string letter_of(const std::vector<SatId>& satellites) {
  const bool mixed = std::any_of(
      satellites.begin(), satellites.end(), [&satellites](SatId sat) {
        return sat.system != satellites.front().system;
      });
  return std::string(1,
                     mixed || satellites.empty()
                         ? 'M'
                         : system_letter(satellites.front().system));
}

std::string constants(const std::vector<SatId>& satellites,
                      const Sp3WriterOptions& options) {
  return "%c " + letter_of(satellites) +
         "  cc GPS ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n"
         "%c cc cc ccc ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n"
         "%f " +
         fixed_text(options.position_base, 10, 7) + ' ' +
         fixed_text(options.clock_base, 12, 9) +
         "  0.00000000000  0.000000000000000\n"
         "%f  0.0000000  0.000000000  0.00000000000  0.000000000000000\n"
         "%i    0    0    0    0      0      0      0      0         0\n"
         "%i    0    0    0    0      0      0      0      0         0\n";
}

}  // namespace

std::string fixed_text(double value, std::size_t width, int decimals) {
  std::array<char, 350> buffer{};
  const auto [end, error] = std::to_chars(buffer.data(),
                                          buffer.data() + buffer.size(),
                                          value,
                                          std::chars_format::fixed,
                                          decimals);
  return padded({buffer.data(), static_cast<std::size_t>(end - buffer.data())},
                width,
                true);
}

std::string whole_text(int value, std::size_t width) {
  return padded(std::to_string(value), width, true);
}

std::string sp3_time_text(GnssTime time) {
  const Calendar c = to_calendar(time, TimeScale::kGps);
  return whole_text(c.year, 4) + ' ' + whole_text(c.month, 2) + ' ' +
         whole_text(c.day, 2) + ' ' + whole_text(c.hour, 2) + ' ' +
         whole_text(c.minute, 2) + ' ' + fixed_text(c.second, 11, 8);
}

bool is_printed_exactly(GnssTime time) {
  return time.ns() % 10 == 0;
}

Result<std::string> sp3_header_text(const PreciseProduct& product,
                                    const std::vector<SatId>& satellites,
                                    const Sp3WriterOptions& options) {
  const std::string& frame = options.coordinate_system
                                 ? *options.coordinate_system
                                 : product.frame_label;
  const std::string& agency = options.agency ? *options.agency : product.agency;
  if (Status fits = check(product, options, frame, agency); !fits) {
    return fail(std::move(fits.error()));
  }
  const GnssTime start = options.start.value_or(product.epochs.front().time);
  if (!is_printed_exactly(start)) {
    return fail(ErrorCode::kOutOfRange,
                "the start has more than eight decimals of a second",
                format_gpst(start));
  }
  std::string text = "#dP" + sp3_time_text(start) + ' ' +
                     whole_text(static_cast<int>(product.epochs.size()), 7) +
                     ' ' + padded(options.data_used, 5, true) + ' ' +
                     padded(frame, 5, false) + ' ' +
                     padded(options.orbit_type, 3, false) + ' ' +
                     padded(agency, 4, true) + '\n';
  text += second_line(product, start);
  text +=
      table(satellites.size(),
            "+  " + whole_text(static_cast<int>(satellites.size()), 3) + "   ",
            "+        ",
            [&](std::size_t i) { return satellites[i].text(); });
  text +=
      table(satellites.size(), "++       ", "++       ", [&](std::size_t i) {
        const auto it = options.accuracy_exponents.find(satellites[i]);
        return whole_text(
            it == options.accuracy_exponents.end() ? 0 : it->second, 3);
      });
  text += constants(satellites, options);
  for (const std::string& comment : options.comments) {
    text += comment.empty() ? "/*" : "/* " + comment;
    text += '\n';
  }
  for (std::size_t i = options.comments.size(); i < kLeastComments; ++i) {
    text += "/*\n";
  }
  return text;
}

}  // namespace stillpoint::products
