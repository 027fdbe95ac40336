#include "stillpoint/products/bias_writer.h"

#include <cmath>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/products/fixed_text.h"

namespace stillpoint::products {
namespace {

constexpr int kDigits = 15;
constexpr int kSigmaDigits = 6;
constexpr std::size_t kNumber = 21, kSigma = 11;
constexpr std::size_t kLongest = 256;

const char* scale_word(TimeScale scale) {
  switch (scale) {
    case TimeScale::kGps:
      return "G";
    case TimeScale::kGalileo:
      return "E";
    case TimeScale::kBeidou:
      return "C";
    case TimeScale::kQzss:
      return "J";
    case TimeScale::kGlonass:
      return "R";
    case TimeScale::kUtc:
      return "UTC";
    case TimeScale::kTai:
      return "TAI";
  }
  return "G";
}

std::string padded(int value, std::size_t width) {
  std::string text = std::to_string(value);
  if (text.size() < width) {
    text.insert(0, width - text.size(), '0');
  }
  return text;
}

// "2024:328:86100", whole seconds.
std::string instant_text(std::optional<GnssTime> t, TimeScale scale) {
  if (!t) {
    return "0000:000:00000";
  }
  const Calendar c = to_calendar(*t + Duration{0.5}, scale);
  std::string text = padded(c.year, 4);
  text += ':';
  text += padded(day_of_year(c), 3);
  text += ':';
  text += padded(
      3600 * c.hour + 60 * c.minute + static_cast<int>(std::floor(c.second)),
      5);
  return text;
}

void put_first(LineWriter& out, const BiasProduct& product) {
  FixedLine line;
  line.text("%=BIA 1.00", 11)
      .text(product.agency, 3)
      .blanks(1)
      .text(instant_text(product.created, product.scale), 15)
      .text(product.data_agency, 3)
      .blanks(1)
      .text(instant_text(product.from, product.scale), 15)
      .text(instant_text(product.until, product.scale), 15)
      .text(product.absolute ? "A" : "R", 2);
  std::string count = std::to_string(product.rows.size());
  count.insert(0, count.size() < 8 ? 8 - count.size() : 0, '0');
  out.put(line.text(count, 8));
}

void put_description(LineWriter& out, const BiasProduct& product) {
  const auto put = [&](std::string_view keyword, std::string_view text) {
    FixedLine line;
    line.blanks(1).text(keyword, 39).blanks(1).text(text, kLongest);
    out.put(line);
  };
  out.put("+BIAS/DESCRIPTION");
  out.put(
      "*KEYWORD________________________________ "
      "VALUE(S)_______________________________");
  bool scale_written = false;
  for (const auto& [keyword, text] : product.description) {
    const bool is_scale = keyword == "TIME_SYSTEM";
    put(keyword, is_scale ? scale_word(product.scale) : text);
    scale_written = scale_written || is_scale;
  }
  if (!scale_written) {
    put("TIME_SYSTEM", scale_word(product.scale));
  }
  out.put("-BIAS/DESCRIPTION");
}

void put_row(LineWriter& out, const BiasRow& row, TimeScale scale) {
  FixedLine line;
  const char letter = system_letter(row.system);
  const auto* const kind = row.kind == BiasKind::kObservable   ? "OSB"
                           : row.kind == BiasKind::kDifference ? "DSB"
                                                               : "ISB";
  line.blanks(1)
      .text(kind, 5)
      .text(row.svn, 4)
      .blanks(1)
      .text(row.satellite ? row.satellite->text() : std::string(1, letter), 4)
      .text(row.station, 9)
      .blanks(1)
      .text(row.first, 4)
      .blanks(1)
      .text(row.second, 4)
      .blanks(1)
      .text(instant_text(row.from, scale), 15)
      .text(instant_text(row.until, scale), 15)
      .text(row.unit == BiasUnit::kNanoseconds ? "ns" : "cyc", 5)
      .scientific(row.value, kNumber, kDigits);
  if (row.sigma) {
    line.blanks(1).scientific(*row.sigma, kSigma, kSigmaDigits);
  }
  if (row.slope) {
    line.column(104).scientific(row.slope->per_s, kNumber, kDigits);
    if (row.slope->sigma_per_s) {
      line.blanks(1).scientific(*row.slope->sigma_per_s, kSigma, kSigmaDigits);
    }
  }
  out.put(line);
}

}  // namespace

Status write_biases(const BiasProduct& product, ByteSink& sink) {
  LineWriter out(sink);
  put_first(out, product);
  put_description(out, product);
  for (const TextBlock& block : product.blocks) {
    std::string head = "+";
    head += block.name;
    out.put(FixedLine().text(head, kLongest));
    for (const std::string& line : block.lines) {
      // Anything else would be a comment or an end of the block.
      if (!line.starts_with(' ')) {
        out.refuse("a line of block " + block.name +
                   " does not begin with a blank");
      }
      out.put(FixedLine().text(line, kLongest));
    }
    head[0] = '-';
    out.put(FixedLine().text(head, kLongest));
  }
  out.put("+BIAS/SOLUTION");
  out.put(
      "*BIAS SVN_ PRN STATION__ OBS1 OBS2 BIAS_START____ BIAS_END______ UNIT "
      "__ESTIMATED_VALUE____ _STD_DEV___ __ESTIMATED_SLOPE____ _STD_DEV___");
  for (const BiasRow& row : product.rows) {
    put_row(out, row, product.scale);
  }
  out.put("-BIAS/SOLUTION");
  out.put("%=ENDBIA");
  return out.finish();
}

}  // namespace stillpoint::products
