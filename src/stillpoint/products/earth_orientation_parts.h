// The reader of Earth orientation, in parts: the CSV and what the forms share
// (earth_orientation_reader.cc), C04 text (earth_orientation_c04.cc) and ERP
// files (earth_orientation_erp.cc). Inside products only.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/aids/earth_orientation.h"
#include "stillpoint/core/result.h"
#include "stillpoint/pack/line_reader.h"

namespace stillpoint::products {

inline constexpr int kMaxOrientationHeaderLines = 500;

// What a row may hold; the order of OrientationValues.
enum OrientationItem : std::uint8_t {
  kMjd,
  kX,
  kY,
  kUt1,
  kLod,
  kXRate,
  kYRate,
  kXSigma,
  kYSigma,
  kUt1Sigma,
  kItems
};
using OrientationValues =
    std::array<double, kItems>;  // arcsec, s, days; NaN: none
using OrientationColumns = std::array<std::size_t, kItems>;
inline constexpr std::size_t kNoColumn =
    std::numeric_limits<std::size_t>::max();

inline OrientationValues no_values() {
  OrientationValues values{};
  values.fill(EarthOrientationRow::kNone);
  return values;
}

struct ColumnName {
  std::string_view name;
  OrientationItem item;
};

// Where the items stand among the names of the columns; of a name twice the
// first.
template <std::size_t N>
OrientationColumns find_columns(const std::vector<std::string_view>& heads,
                                const std::array<ColumnName, N>& names) {
  OrientationColumns found;
  found.fill(kNoColumn);
  for (std::size_t k = heads.size(); k-- > 0;) {
    for (const ColumnName& name : names) {
      if (heads[k] == name.name) {
        found[name.item] = k;
      }
    }
  }
  return found;
}

class EarthOrientationReader {
 public:
  explicit EarthOrientationReader(std::unique_ptr<ByteStream> stream)
      : lines_(std::move(stream)) {}

  Result<EarthOrientationProduct> read();

 private:
  Result<bool> next(std::string_view& line);  // that is not blank
  Status read_c04(std::string_view line);
  Status take_c04(std::string_view line);
  Status read_table(std::string_view line);
  Status take_cells(std::string_view line);
  Status read_erp(std::string_view line);
  Status take_words(std::string_view line);
  Status store(const OrientationValues& values);

  // The last line of the file that is wrong was cut.
  tl::unexpected<Error> bad(std::string what);
  [[nodiscard]] tl::unexpected<Error> bad_head(std::string what) const {
    return fail(ErrorCode::kBadHeader, std::move(what), lines_.where());
  }

  LineReader lines_;
  EarthOrientationProduct product_;
  OrientationColumns columns_{};
  std::size_t column_count_ = 0;
  std::size_t type_column_ = kNoColumn;
  bool from_tai_ = false;
};

}  // namespace stillpoint::products
