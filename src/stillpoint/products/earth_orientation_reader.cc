#include "stillpoint/products/earth_orientation_reader.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/text.h"
#include "stillpoint/products/earth_orientation_parts.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxRows = 200'000;
constexpr double kArcsecRad = 3.14159265358979323846 / 648'000;
constexpr double kDayS = 86'400;
constexpr double kFirstMjd = 44'244;  // 1980-01-06
constexpr double kEndMjd = 88'069;    // 2100-01-01
// Far above what the Earth does (0.6 arcsec, 0.9 s, 5 ms).
constexpr double kMostPoleArcsec = 5;
constexpr double kMostUt1S = 2;
constexpr double kMostLodS = 1;

std::vector<std::string_view> cells_of(std::string_view line) {
  constexpr std::size_t kMost = 100;
  std::vector<std::string_view> cells;
  while (cells.size() < kMost) {
    const std::size_t end = line.find(';');
    cells.push_back(trim(line.substr(0, end)));
    if (end == std::string_view::npos) {
      break;
    }
    line.remove_prefix(end + 1);
  }
  return cells;
}

constexpr std::array kTableNames{ColumnName{"MJD", kMjd},
                                 ColumnName{"x_pole", kX},
                                 ColumnName{"y_pole", kY},
                                 ColumnName{"UT1-UTC", kUt1},
                                 ColumnName{"LOD", kLod},
                                 ColumnName{"x_rate", kXRate},
                                 ColumnName{"y_rate", kYRate},
                                 ColumnName{"sigma_x_pole", kXSigma},
                                 ColumnName{"sigma_y_pole", kYSigma},
                                 ColumnName{"sigma_UT1-UTC", kUt1Sigma}};

// Whatever the case of its letters; `name` is of small ones.
bool is_word(std::string_view word, std::string_view name) {
  return std::equal(
      word.begin(), word.end(), name.begin(), name.end(), [](char a, char b) {
        return a == b || (a >= 'A' && a <= 'Z' && a - 'A' + 'a' == b);
      });
}

}  // namespace

tl::unexpected<Error> EarthOrientationReader::bad(std::string what) {
  std::string where = lines_.where();
  std::string_view line;
  const auto more = lines_.next(line);
  const bool last = more && !*more;
  return fail(last ? ErrorCode::kTruncated : ErrorCode::kBadFormat,
              std::move(what),
              std::move(where));
}

Result<bool> EarthOrientationReader::next(std::string_view& line) {
  for (;;) {
    auto more = lines_.next(line);
    if (!more || !*more || !trim(line).empty()) {
      return more;
    }
  }
}

Status EarthOrientationReader::store(const OrientationValues& values) {
  if (!(values[kMjd] < kEndMjd)) {
    return bad("the row does not hold a date");
  }
  if (values[kMjd] < kFirstMjd || std::isnan(values[kX]) ||
      std::isnan(values[kY]) || std::isnan(values[kUt1])) {
    ++product_.rows_left_out;
    return ok();
  }
  constexpr double kTaiMinusGpstS = 19;
  EarthOrientationRow row;
  row.time = from_mjd(values[kMjd], TimeScale::kUtc);
  const double ut1_minus_utc_s =
      values[kUt1] +
      (from_tai_ ? kTaiMinusGpstS + gps_minus_utc_s(row.time) : 0.0);
  if (std::abs(values[kX]) > kMostPoleArcsec ||
      std::abs(values[kY]) > kMostPoleArcsec ||
      std::abs(ut1_minus_utc_s) > kMostUt1S ||
      std::abs(values[kLod]) > kMostLodS) {
    return bad("the row holds a pole, UT1 or LOD that the Earth cannot have");
  }
  if (product_.rows.size() >= kMaxRows) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxRows) + " rows",
                lines_.where());
  }
  if (!product_.rows.empty() && row.time <= product_.rows.back().time) {
    return bad("the row is not later than the one before");
  }
  row.value = {
      values[kX] * kArcsecRad, values[kY] * kArcsecRad, ut1_minus_utc_s};
  row.lod_s = values[kLod];
  row.x_rate_rad_per_s = values[kXRate] * kArcsecRad / kDayS;
  row.y_rate_rad_per_s = values[kYRate] * kArcsecRad / kDayS;
  row.x_sigma_rad = values[kXSigma] * kArcsecRad;
  row.y_sigma_rad = values[kYSigma] * kArcsecRad;
  row.ut1_sigma_s = values[kUt1Sigma];
  product_.rows.push_back(row);
  return ok();
}

Status EarthOrientationReader::take_cells(std::string_view line) {
  const std::vector<std::string_view> cells = cells_of(line);
  if (cells.size() != column_count_) {
    return bad("the row has " + std::to_string(cells.size()) + " cells, not " +
               std::to_string(column_count_));
  }
  if (type_column_ != kNoColumn && !cells[type_column_].empty()) {
    product_.series = "IERS table";
    if (cells[type_column_] != "final") {
      ++product_.rows_left_out;
      return ok();
    }
  }
  OrientationValues values = no_values();
  for (std::size_t item = 0; item < kItems; ++item) {
    if (columns_[item] == kNoColumn || cells[columns_[item]].empty()) {
      continue;
    }
    const auto number = to_number(cells[columns_[item]]);
    if (!number) {
      return bad("cell " + std::to_string(columns_[item] + 1) +
                 " is not a number");
    }
    values[item] = *number;
  }
  if (product_.series == "C04 14" && !std::isnan(values[kXRate])) {
    product_.series = "C04 20";
  }
  return store(values);
}

Status EarthOrientationReader::read_table(std::string_view line) {
  const std::vector<std::string_view> heads = cells_of(line);
  columns_ = find_columns(heads, kTableNames);
  column_count_ = heads.size();
  for (const OrientationItem item : {kMjd, kX, kY, kUt1}) {
    if (columns_[item] == kNoColumn) {
      return bad_head("the table lacks MJD, x_pole, y_pole or UT1-UTC");
    }
  }
  const auto type = std::find(heads.begin(), heads.end(), "Type");
  if (type != heads.end()) {
    type_column_ = static_cast<std::size_t>(type - heads.begin());
  }
  product_.series = "C04 14";
  for (;;) {
    const auto more = next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return ok();
    }
    if (auto taken = take_cells(line); !taken) {
      return taken;
    }
  }
}

Result<EarthOrientationProduct> EarthOrientationReader::read() {
  product_.source = lines_.name();
  std::string_view line;
  const auto more = next(line);
  if (!more) {
    return fail(more.error());
  }
  if (!*more) {
    return fail(ErrorCode::kTruncated, "the file is empty", lines_.where());
  }
  std::string_view text = line;
  const std::string_view word = next_word(text);
  Status status = is_word(word, "version")   ? read_erp(line)
                  : word.starts_with("MJD;") ? read_table(line)
                                             : read_c04(line);
  if (!status) {
    return fail(std::move(status.error()));
  }
  if (product_.rows.empty() && product_.rows_left_out == 0) {
    return fail(ErrorCode::kTruncated,
                "the file ends before its first row",
                lines_.where());
  }
  return std::move(product_);
}

Result<EarthOrientationProduct> read_earth_orientation(
    std::unique_ptr<ByteStream> stream) {
  return EarthOrientationReader(std::move(stream)).read();
}

}  // namespace stillpoint::products
