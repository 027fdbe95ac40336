#include "stillpoint/products/clock_reader.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string_view>
#include <unordered_map>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/clock_header.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::uint64_t kMaxRecords = 8'000'000;
constexpr std::size_t kMaxSeries = 5'000;
constexpr std::size_t kMaxEpochs = 2'000'000;
constexpr std::size_t kMaxHeaderLines = 20'000;
constexpr std::size_t kValues = 6;
constexpr std::size_t kFirstLineValues = 2;

class ClockReader {
 public:
  ClockReader(std::unique_ptr<ByteStream> stream, ClockReaderOptions options)
      : lines_(std::move(stream)), options_(options) {}

  Result<ClockProduct> read();

 private:
  using Values = std::array<double, kValues>;

  Status read_head();
  Status take_record(std::string_view line);
  Result<std::uint32_t> take_epoch(std::string_view text);
  Result<ClockSeries*> series_of(std::string_view name, bool satellite);
  Status take_values(std::string_view& text, Values& values, std::size_t to);
  Status step_over(std::string_view line);
  Status store(ClockSeries& series, std::uint32_t epoch, const Values& values);
  void sort();

  // The last line of the file that is wrong was cut.
  tl::unexpected<Error> bad(std::string what);

  LineReader lines_;
  ClockReaderOptions options_;
  ClockProduct product_;
  std::size_t shift_ = 0;  // of columns after the name, 5 in 3.04
  std::uint64_t records_ = 0;
  std::size_t parsed_values_ = 0;
  std::string epoch_text_;
  std::uint32_t epoch_ = 0;
  std::unordered_map<std::int64_t, std::uint32_t> epochs_;
  // Index + 1 of the series of a satellite.
  std::array<std::uint32_t, SatId::kIndexCount> by_satellite_{};
  std::unordered_map<std::string, std::uint32_t> by_name_;
};

tl::unexpected<Error> ClockReader::bad(std::string what) {
  std::string where = lines_.where();
  std::string_view line;
  const auto more = lines_.next(line);
  const bool last = more && !*more;
  return fail(last ? ErrorCode::kTruncated : ErrorCode::kBadFormat,
              std::move(what),
              std::move(where));
}

Status ClockReader::read_head() {
  ClockHeader header;
  for (std::size_t count = 0; count < kMaxHeaderLines; ++count) {
    std::string_view line;
    const auto more = lines_.next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return fail(
          ErrorCode::kTruncated, "the file ends in its header", lines_.where());
    }
    auto taken = header.take(line, product_);
    if (!taken) {
      taken.error().where = lines_.where();
      return fail(std::move(taken.error()));
    }
    if (header.ended()) {
      shift_ = header.shift();
      return ok();
    }
  }
  return fail(
      ErrorCode::kTooLarge,
      "the header has more than " + std::to_string(kMaxHeaderLines) + " lines",
      lines_.where());
}

// Columns of year to second; most records repeat the epoch before.
Result<std::uint32_t> ClockReader::take_epoch(std::string_view text) {
  if (text == epoch_text_) {
    return epoch_;
  }
  const auto year = to_integer(column(text, 0, 4));
  const auto month = to_integer(column(text, 4, 7));
  const auto day = to_integer(column(text, 7, 10));
  const auto hour = to_integer(column(text, 10, 13));
  const auto minute = to_integer(column(text, 13, 16));
  const auto second = to_number(column(text, 16, 26));
  if (!year || !month || !day || !hour || !minute || !second) {
    return bad("the record does not hold a date and a time");
  }
  const auto time = from_calendar(
      Calendar{*year, *month, *day, *hour, *minute, *second}, product_.scale);
  if (!time) {
    return bad("the time of the record is no date: " + time.error().what);
  }
  const auto [entry, added] = epochs_.try_emplace(
      time->ns(), static_cast<std::uint32_t>(product_.epochs.size()));
  if (added) {
    if (product_.epochs.size() >= kMaxEpochs) {
      return fail(ErrorCode::kTooLarge,
                  "more than " + std::to_string(kMaxEpochs) + " epochs",
                  lines_.where());
    }
    product_.epochs.push_back(*time);
  }
  epoch_text_ = text;
  epoch_ = entry->second;
  return epoch_;
}

// nullptr: not kept.
Result<ClockSeries*> ClockReader::series_of(std::string_view name,
                                            bool satellite) {
  std::uint32_t* slot = nullptr;
  std::optional<SatId> sat;
  if (satellite) {
    sat = parse_satellite(name);
    if (!sat) {
      return nullptr;
    }
    slot = &by_satellite_[static_cast<std::size_t>(sat->index())];
  } else {
    slot = &by_name_.try_emplace(std::string(name), 0).first->second;
  }
  if (*slot == 0) {
    if (product_.series.size() >= kMaxSeries) {
      return fail(ErrorCode::kTooLarge,
                  "more than " + std::to_string(kMaxSeries) + " clocks",
                  lines_.where());
    }
    product_.series.push_back(
        ClockSeries{sat ? sat->text() : std::string(name), sat, {}, {}});
    *slot = static_cast<std::uint32_t>(product_.series.size());
  }
  return &product_.series[*slot - 1];
}

// The next word as a number with an exponent of two digits, which E19.12
// always has: a number without one was cut. Numbers of at most 15 digits and
// of usual size are whole numbers divided by a power of ten, both exact, so
// that the quotient is the nearest double.
std::optional<double> next_value(std::string_view& text) {
  constexpr std::size_t kExponent = 4;
  constexpr std::size_t kMostDigits = 15;
  constexpr int kMostPower = 22;
  constexpr std::array<double, kMostPower + 1> kPowers{
      1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
      1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
  const std::string_view word = next_word(text);
  if (word.size() <= kExponent) {
    return std::nullopt;
  }
  const std::string_view tail = word.substr(word.size() - kExponent);
  const int high = tail[2] - '0';
  const int low = tail[3] - '0';
  if ((tail[0] | 0x20) < 'd' || (tail[0] | 0x20) > 'e' ||
      (tail[1] != '-' && tail[1] != '+') || high < 0 || high > 9 || low < 0 ||
      low > 9) {
    return std::nullopt;
  }
  const int size = 10 * high + low;
  int power = tail[1] == '-' ? -size : size;
  const bool negative = word[0] == '-';
  std::int64_t digits = 0;
  std::size_t count = 0;
  bool point = false;
  for (const char c : word.substr(
           negative ? 1 : 0, word.size() - kExponent - (negative ? 1 : 0))) {
    if (c >= '0' && c <= '9' && count < kMostDigits) {
      digits = digits * 10 + (c - '0');
      ++count;
      power -= point ? 1 : 0;
    } else if (c == '.' && !point) {
      point = true;
    } else {
      return to_real(word);
    }
  }
  if (count == 0 || power > 0 || power < -kMostPower) {
    return to_real(word);
  }
  const double value =
      static_cast<double>(digits) / kPowers[static_cast<std::size_t>(-power)];
  return negative ? -value : value;
}

Status ClockReader::take_values(std::string_view& text,
                                Values& values,
                                std::size_t to) {
  for (; parsed_values_ < to; ++parsed_values_) {
    const auto value = next_value(text);
    if (!value) {
      return bad("value " + std::to_string(parsed_values_ + 1) +
                 " of the record is missing or is no number with exponent");
    }
    values[parsed_values_] = *value;
  }
  return ok();
}

// A record of another kind, with its second line.
Status ClockReader::step_over(std::string_view line) {
  ++product_.records_left_out;
  const auto count = to_integer(column(line, 34 + shift_, 37 + shift_));
  if (count && *count > static_cast<int>(kFirstLineValues)) {
    if (const auto more = lines_.next(line); !more) {
      return fail(more.error());
    }
  }
  return ok();
}

Status ClockReader::store(ClockSeries& series,
                          std::uint32_t epoch,
                          const Values& values) {
  if (!series.samples.empty() &&
      product_.epochs[epoch] <= product_.epochs[series.samples.back().epoch]) {
    return bad("the record of " + series.name +
               " is not later than the one before");
  }
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  if (parsed_values_ > kFirstLineValues) {
    series.rates.push_back(
        {.sample = static_cast<std::uint32_t>(series.samples.size()),
         .rate = values[2],
         .rate_sigma = parsed_values_ > 3 ? values[3] : kNone,
         .acceleration_per_s = parsed_values_ > 4 ? values[4] : kNone,
         .acceleration_sigma_per_s = parsed_values_ > 5 ? values[5] : kNone});
  }
  series.samples.push_back(
      {.clock_s = values[0],
       .sigma_s = parsed_values_ > 1 ? static_cast<float>(values[1])
                                     : std::numeric_limits<float>::quiet_NaN(),
       .epoch = epoch});
  return ok();
}

Status ClockReader::take_record(std::string_view line) {
  const bool satellite = line.starts_with("AS ");
  if (!satellite && !line.starts_with("AR ")) {
    for (const std::string_view other : {"CR ", "DR ", "MS "}) {
      if (line.starts_with(other)) {
        return step_over(line);
      }
    }
    return bad("a line of no kind that clock files have");
  }
  if (++records_ > kMaxRecords) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxRecords) + " records",
                lines_.where());
  }
  const std::string_view name = column(line, 3, 7 + shift_);
  if (name.empty()) {
    return bad("the record has no name");
  }
  ClockSeries* series = nullptr;
  if (satellite || options_.stations) {
    const auto found = series_of(name, satellite);
    if (!found) {
      return fail(found.error());
    }
    series = *found;
  }
  // Records that are not kept must be whole as well: the last may be cut.
  std::uint32_t epoch = 0;
  if (series != nullptr) {
    const auto taken = take_epoch(columns(line, 8 + shift_, 26));
    if (!taken) {
      return fail(taken.error());
    }
    epoch = *taken;
  }
  const auto count = to_integer(column(line, 34 + shift_, 37 + shift_));
  if (!count || *count < 1 || *count > static_cast<int>(kValues)) {
    return bad("the number of values is not 1 to 6");
  }
  const auto wanted = static_cast<std::size_t>(*count);
  Values values{};
  parsed_values_ = 0;
  std::string_view rest = columns(line, 37 + shift_, line.size());
  if (auto taken =
          take_values(rest, values, std::min(wanted, kFirstLineValues));
      !taken) {
    return taken;
  }
  if (wanted > kFirstLineValues) {
    const auto more = lines_.next(line);
    if (!more) {
      return fail(more.error());
    }
    rest = *more ? line : std::string_view();
    if (auto taken = take_values(rest, values, wanted); !taken) {
      return taken;
    }
  }
  if (rest.find_first_not_of(' ') != std::string_view::npos) {
    return bad("text after the last value");
  }
  if (series == nullptr) {
    ++product_.records_left_out;
    return ok();
  }
  return store(*series, epoch, values);
}

// Epochs ascending, satellites in order, then stations by name.
void ClockReader::sort() {
  std::vector<GnssTime>& epochs = product_.epochs;
  if (!std::is_sorted(epochs.begin(), epochs.end())) {
    std::vector<GnssTime> ascending = epochs;
    std::sort(ascending.begin(), ascending.end());
    std::vector<std::uint32_t> place(epochs.size());
    for (std::size_t i = 0; i < epochs.size(); ++i) {
      place[i] = static_cast<std::uint32_t>(
          std::lower_bound(ascending.begin(), ascending.end(), epochs[i]) -
          ascending.begin());
    }
    for (ClockSeries& series : product_.series) {
      for (ClockSample& sample : series.samples) {
        sample.epoch = place[sample.epoch];
      }
    }
    epochs = std::move(ascending);
  }
  std::sort(product_.series.begin(), product_.series.end(), is_before);
}

Result<ClockProduct> ClockReader::read() {
  product_.source = lines_.name();
  if (auto head = read_head(); !head) {
    return fail(std::move(head.error()));
  }
  for (;;) {
    std::string_view line;
    const auto more = lines_.next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      break;
    }
    if (line.find_first_not_of(' ') == std::string_view::npos) {
      continue;
    }
    if (auto taken = take_record(line); !taken) {
      return fail(std::move(taken.error()));
    }
  }
  sort();
  return std::move(product_);
}

}  // namespace

Result<ClockProduct> read_clocks(std::unique_ptr<ByteStream> stream,
                                 ClockReaderOptions options) {
  return ClockReader(std::move(stream), options).read();
}

}  // namespace stillpoint::products
