#include "stillpoint/products/bias_reader.h"

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/last_line.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxRows = 500'000;
constexpr std::string_view kOpen = "0000:000:00000";
constexpr std::string_view kDescription = "BIAS/DESCRIPTION";
constexpr std::string_view kSolution = "BIAS/SOLUTION";
constexpr std::string_view kTimeSystem = "TIME_SYSTEM";

std::optional<TimeScale> scale_of(std::string_view text) {
  if (text == "G" || text == "I" || text.empty()) {
    return TimeScale::kGps;
  }
  if (text == "R") {
    return TimeScale::kGlonass;
  }
  if (text == "E") {
    return TimeScale::kGalileo;
  }
  if (text == "C") {
    return TimeScale::kBeidou;
  }
  if (text == "J") {
    return TimeScale::kQzss;
  }
  return text == "UTC" || text == "TAI" ? to_time_scale(text) : std::nullopt;
}

// An instant of the file, or an open end.
struct Instant {
  std::optional<GnssTime> time;
};

// "2024:328:86400"; nothing for what is no date.
std::optional<Instant> to_instant(std::string_view text, TimeScale scale) {
  if (text == kOpen) {
    return Instant{};
  }
  constexpr std::size_t kLength = 14;
  if (text.size() != kLength || text[4] != ':' || text[8] != ':') {
    return std::nullopt;
  }
  const auto year = to_integer(text.substr(0, 4));
  const auto day = to_integer(text.substr(5, 3));
  const auto second = to_integer(text.substr(9, 5));
  constexpr int kDayS = 86'400;
  if (!year || !day || !second || *day < 1 || *second < 0 || *second > kDayS) {
    return std::nullopt;
  }
  const bool leap = *year % 4 == 0 && (*year % 100 != 0 || *year % 400 == 0);
  const std::array<int, 12> lengths{
      31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  Calendar date{*year, 1, *day, 0, 0, 0};
  for (const int length : lengths) {
    if (date.day <= length) {
      break;
    }
    date.day -= length;
    ++date.month;
  }
  const auto midnight = from_calendar(date, scale);
  if (!midnight) {
    return std::nullopt;
  }
  return Instant{*midnight + Duration{static_cast<double>(*second)}};
}

class BiasReader {
 public:
  explicit BiasReader(std::unique_ptr<ByteStream> stream)
      : lines_(std::move(stream)) {}

  Result<BiasProduct> read();

 private:
  Status read_first();
  Status finish_head();
  Status take_line(std::string_view line);
  Status take_description(std::string_view line);
  Status take_row(std::string_view line);
  Status take_numbers(std::string_view line, BiasRow& row);
  Result<std::string_view> need_line();

  [[nodiscard]] tl::unexpected<Error> bad(std::string what) const {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }
  [[nodiscard]] tl::unexpected<Error> bad_head(std::string what) const {
    return fail(ErrorCode::kBadHeader, std::move(what), lines_.where());
  }

  LineReader lines_;
  BiasProduct product_;
  std::string block_;  // open block, or empty
  std::size_t kept_lines_ = 0;
  bool scale_known_ = false;
  // Instants of the first line, until the scale is known.
  std::array<std::string, 3> first_line_;
  std::string first_where_;
};

Result<std::string_view> BiasReader::need_line() {
  std::string_view line;
  const auto more = lines_.next(line);
  if (!more) {
    return fail(more.error());
  }
  if (!*more) {
    return fail(ErrorCode::kTruncated,
                "the file ends without its %=ENDBIA line",
                lines_.where(),
                "Fetch the file again; a part of it is not used.");
  }
  return line;
}

Status BiasReader::read_first() {
  const auto first = need_line();
  if (!first) {
    return fail(first.error());
  }
  const std::string_view line = *first;
  if (!line.starts_with("%=BIA ")) {
    return bad_head("not a bias file: the first line is not %=BIA");
  }
  const std::string_view version = column(line, 6, 10);
  if (version != "1.00") {
    return fail(ErrorCode::kUnsupported,
                "bias files of version '" + std::string(version) +
                    "'; 1.00 can be read",
                lines_.where());
  }
  product_.source = lines_.name();
  product_.agency = column(line, 11, 14);
  product_.data_agency = column(line, 30, 33);
  first_line_ = {std::string(column(line, 15, 29)),
                 std::string(column(line, 34, 48)),
                 std::string(column(line, 49, 63))};
  first_where_ = lines_.where();
  const std::string_view mode = column(line, 64, 65);
  if (mode != "A" && mode != "R") {
    return bad_head("the first line does not say absolute (A) or relative (R)");
  }
  product_.absolute = mode == "A";
  const auto count = to_integer(column(line, 66, 74));
  if (!count || *count < 0) {
    return bad_head("the first line does not hold the number of rows");
  }
  product_.declared_rows = static_cast<std::uint64_t>(*count);
  return ok();
}

Status BiasReader::finish_head() {
  std::array<std::optional<GnssTime>*, 3> into{
      &product_.created, &product_.from, &product_.until};
  for (std::size_t i = 0; i < into.size(); ++i) {
    const auto instant = to_instant(first_line_[i], product_.scale);
    if (!instant) {
      return fail(ErrorCode::kBadHeader,
                  "'" + first_line_[i] + "' in the first line is no instant",
                  first_where_);
    }
    *into[i] = instant->time;
  }
  return ok();
}

Status BiasReader::take_description(std::string_view line) {
  std::string_view rest = line;
  const std::string_view keyword = next_word(rest);
  if (keyword.empty()) {
    return ok();
  }
  const std::string_view text = trim(rest);
  if (keyword == kTimeSystem) {
    const auto scale = scale_of(text);
    if (!scale) {
      return bad_head("the time system '" + std::string(text) +
                      "' is not known");
    }
    if ((scale_known_ || !product_.rows.empty()) && *scale != product_.scale) {
      return bad_head("a second time system, or one after the rows");
    }
    product_.scale = *scale;
    scale_known_ = true;
  }
  product_.description.emplace_back(keyword, text);
  return ok();
}

Status BiasReader::take_numbers(std::string_view line, BiasRow& row) {
  const auto value = to_real(column(line, 70, 91));
  if (!value) {
    return bad("the bias is not a number");
  }
  row.value = *value;
  const auto optional_number =
      [&](std::size_t from, std::size_t to, std::optional<double>& number) {
        const std::string_view text = column(line, from, to);
        number = to_real(text);
        return text.empty() || number.has_value();
      };
  if (!optional_number(92, 103, row.sigma)) {
    return bad("the sigma of the bias is not a number");
  }
  std::optional<double> slope, slope_sigma;
  if (!optional_number(104, 125, slope) ||
      !optional_number(126, 137, slope_sigma)) {
    return bad("the slope of the bias or its sigma is not a number");
  }
  if (slope) {
    row.slope = BiasSlope{*slope, slope_sigma};
  }
  return ok();
}

Status BiasReader::take_row(std::string_view line) {
  BiasRow row;
  const std::string_view kind = column(line, 1, 5);
  if (kind == "OSB") {
    row.kind = BiasKind::kObservable;
  } else if (kind == "DSB") {
    row.kind = BiasKind::kDifference;
  } else if (kind == "ISB") {
    row.kind = BiasKind::kIntersystem;
  } else {
    return bad("the row is none of OSB, DSB and ISB");
  }
  if (product_.rows.size() >= kMaxRows) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxRows) + " rows",
                lines_.where());
  }
  row.svn = column(line, 6, 10);
  const std::string_view prn = column(line, 11, 14);
  row.station = column(line, 15, 24);
  row.satellite = parse_satellite(prn.size() == 3 ? prn : std::string_view());
  const char letter = !prn.empty()       ? prn[0]
                      : !row.svn.empty() ? row.svn[0]
                                         : ' ';
  const auto system = system_from_letter(letter);
  if (!system || (!row.satellite && (row.station.empty() || prn.size() > 1))) {
    return bad("the row has neither a satellite nor a system and a station");
  }
  row.system = *system;
  row.first = column(line, 25, 29);
  row.second = column(line, 30, 34);
  if (row.first.empty() ||
      (row.second.empty() != (row.kind == BiasKind::kObservable))) {
    return bad("the row does not name the observables of its kind");
  }
  const auto from = to_instant(column(line, 35, 49), product_.scale);
  const auto until = to_instant(column(line, 50, 64), product_.scale);
  if (!from || !until) {
    return bad("the row does not hold two instants");
  }
  row.from = from->time;
  row.until = until->time;
  if (row.from && row.until && *row.until < *row.from) {
    return bad("the row ends before it begins");
  }
  const std::string_view unit = column(line, 65, 69);
  if (unit != "ns" && unit != "cyc") {
    return fail(ErrorCode::kUnsupported,
                "biases in '" + std::string(unit) + "'; ns and cyc can be read",
                lines_.where());
  }
  row.unit = unit == "ns" ? BiasUnit::kNanoseconds : BiasUnit::kCycles;
  if (auto taken = take_numbers(line, row); !taken) {
    return taken;
  }
  product_.rows.push_back(std::move(row));
  return ok();
}

Status BiasReader::take_line(std::string_view line) {
  if (trim(line).empty() || line[0] == '*') {
    return ok();
  }
  if (line[0] == '+' || line[0] == '-') {
    const std::string_view name = trim(line.substr(1));
    if (line[0] == '+' ? !block_.empty() || name.empty() : name != block_) {
      return bad("a block begins in another or ends where it did not begin");
    }
    block_ = line[0] == '+' ? name : std::string_view();
    if (line[0] == '+' && name != kDescription && name != kSolution) {
      product_.blocks.push_back({std::string(name), {}});
    }
    return ok();
  }
  if (line[0] != ' ') {
    return bad("a line of no kind that bias files have");
  }
  if (block_ == kSolution) {
    return take_row(line);
  }
  if (++kept_lines_ > kMaxRows) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxRows) + " lines",
                lines_.where());
  }
  if (block_ == kDescription) {
    return take_description(line);
  }
  if (!block_.empty()) {
    product_.blocks.back().lines.emplace_back(trim_right(line));
    return ok();
  }
  return bad("text outside the blocks");
}

Result<BiasProduct> BiasReader::read() {
  if (auto first = read_first(); !first) {
    return fail(std::move(first.error()));
  }
  for (;;) {
    const auto line = need_line();
    if (!line) {
      return fail(line.error());
    }
    if (trim_right(*line) == "%=ENDBIA") {
      break;
    }
    if (auto taken = take_line(*line); !taken) {
      return fail(std::move(taken.error()));
    }
  }
  if (!block_.empty()) {
    return bad("the block " + block_ + " has no end");
  }
  if (auto head = finish_head(); !head) {
    return fail(std::move(head.error()));
  }
  if (auto end = expect_end(lines_, "%=ENDBIA"); !end) {
    return fail(std::move(end.error()));
  }
  return std::move(product_);
}

}  // namespace

Result<BiasProduct> read_biases(std::unique_ptr<ByteStream> stream) {
  return BiasReader(std::move(stream)).read();
}

}  // namespace stillpoint::products
