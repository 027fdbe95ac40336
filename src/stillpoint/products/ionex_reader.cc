#include "stillpoint/products/ionex_reader.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/text.h"
#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/ionex_header.h"
#include "stillpoint/products/last_line.h"
#include "stillpoint/products/sp3_fields.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxHeaderLines = 50'000;
constexpr std::size_t kMaxValues = 20'000'000;
constexpr std::size_t kPerLine = 16, kWidth = 5;
constexpr int kMissing = 9'999;
constexpr double kDegNoise = IonexHeader::kDegNoise;

class IonexReader {
 public:
  IonexReader(std::unique_ptr<ByteStream> stream, IonexReaderOptions options)
      : lines_(std::move(stream)), options_(options) {}

  Result<IonosphereProduct> read();

 private:
  Result<std::string_view> need_line();
  Status read_head();
  Status read_map(std::string_view kind);
  Status read_row(std::string_view line, std::vector<float>& values);
  Result<GnssTime> to_time(std::string_view line);
  Status keep(std::string_view kind, GnssTime time, std::vector<float> values);
  Status step_over(std::string_view end);

  [[nodiscard]] tl::unexpected<Error> bad(std::string what) const {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }
  [[nodiscard]] tl::unexpected<Error> unsupported(std::string what) const {
    return fail(ErrorCode::kUnsupported, std::move(what), lines_.where());
  }

  LineReader lines_;
  IonexReaderOptions options_;
  IonosphereProduct product_;
  IonexHeader header_;
  int map_exponent_ = -1;  // of the map that is read
  std::size_t value_count_ = 0;
};

Result<std::string_view> IonexReader::need_line() {
  std::string_view line;
  const auto more = lines_.next(line);
  if (!more) {
    return fail(more.error());
  }
  if (!*more) {
    return fail(ErrorCode::kTruncated,
                "the file ends without its END OF FILE line",
                lines_.where(),
                "Fetch the file again; a part of it is not used.");
  }
  return line;
}

Status IonexReader::read_head() {
  for (std::size_t count = 0; count < kMaxHeaderLines; ++count) {
    const auto line = need_line();
    if (!line) {
      return fail(line.error());
    }
    const bool ended = ionex_label(*line) == "END OF HEADER";
    Status taken = count == 0 ? IonexHeader::take_first(*line, product_)
                   : ended    ? header_.finish(product_)
                              : header_.take(*line, product_);
    if (!taken) {
      taken.error().where = lines_.where();
      return taken;
    }
    if (ended) {
      return ok();
    }
  }
  return fail(ErrorCode::kTooLarge, "the header is too long", lines_.where());
}

Result<GnssTime> IonexReader::to_time(std::string_view line) {
  std::array<int, 6> parts{};
  for (std::size_t k = 0; k < parts.size(); ++k) {
    const auto part = to_integer(column(line, 6 * k, 6 * k + 6));
    if (!part) {
      return bad("the time of the map is not six whole numbers");
    }
    parts[k] = *part;
  }
  constexpr double kDayS = 86'400;
  const bool midnight = parts[3] == 24 && parts[4] == 0 && parts[5] == 0;
  const auto time = from_calendar(Calendar{parts[0],
                                           parts[1],
                                           parts[2],
                                           midnight ? 0 : parts[3],
                                           parts[4],
                                           static_cast<double>(parts[5])},
                                  TimeScale::kUtc);
  if (!time) {
    return bad("the time of the map is no date: " + time.error().what);
  }
  return midnight ? *time + Duration{kDayS} : *time;
}

// One row of latitude: its heading is read already.
Status IonexReader::read_row(std::string_view line,
                             std::vector<float>& values) {
  const auto latitude = to_number(column(line, 2, 8));
  const auto range = to_ionex_range(columns(line, 6, line.size()));
  if (!latitude || !range) {
    return bad("the row does not say its latitude and longitudes");
  }
  const std::size_t nodes = product_.longitude.count;
  const std::size_t row = values.size() / nodes;
  const double expected_deg =
      header_.latitude().from +
      static_cast<double>(row) * header_.latitude().step;
  if (row >= product_.latitude.count ||
      std::abs(*latitude - expected_deg) > kDegNoise) {
    return bad("the row of latitude is not the next of the grid");
  }
  if (std::abs(range->from - header_.longitude().from) > kDegNoise ||
      std::abs(range->to - header_.longitude().to) > kDegNoise ||
      std::abs(range->step - header_.longitude().step) > kDegNoise) {
    return unsupported("a row of other longitudes than the header's");
  }
  value_count_ += nodes;
  if (value_count_ > kMaxValues) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxValues) + " values",
                lines_.where());
  }
  const double unit = std::pow(10.0, map_exponent_);
  for (std::size_t k = 0; k < nodes; ++k) {
    if (k % kPerLine == 0) {
      const auto more = need_line();
      if (!more) {
        return fail(more.error());
      }
      line = *more;
    }
    const std::size_t at = k % kPerLine * kWidth;
    const auto value = to_integer(column(line, at, at + kWidth));
    if (!value) {
      return bad("value " + std::to_string(k + 1) +
                 " of the row is not a whole number");
    }
    values.push_back(*value == kMissing ? std::nanf("")
                                        : static_cast<float>(*value * unit));
  }
  return ok();
}

Status IonexReader::keep(std::string_view kind,
                         GnssTime time,
                         std::vector<float> values) {
  std::vector<IonosphereMap>& maps = product_.maps;
  if (kind == "TEC") {
    if (!maps.empty() && time <= maps.back().time) {
      return bad("the map is not later than the one before");
    }
    maps.push_back({time, std::move(values), {}});
    return ok();
  }
  const auto found =
      std::lower_bound(maps.begin(),
                       maps.end(),
                       time,
                       [](const IonosphereMap& map, GnssTime wanted) {
                         return map.time < wanted;
                       });
  if (found == maps.end() || found->time != time || !found->rms_tecu.empty()) {
    ++product_.maps_left_out;
  } else if (options_.rms) {
    found->rms_tecu = std::move(values);
  }
  return ok();
}

// kind: "TEC" or "RMS".
Status IonexReader::read_map(std::string_view kind) {
  const std::size_t nodes = product_.latitude.count * product_.longitude.count;
  std::optional<GnssTime> time;
  std::vector<float> values;
  map_exponent_ = header_.exponent();
  for (;;) {
    const auto line = need_line();
    if (!line) {
      return fail(line.error());
    }
    const std::string_view label = ionex_label(*line);
    if (label == "EPOCH OF CURRENT MAP") {
      const auto taken = to_time(*line);
      if (!taken) {
        return fail(taken.error());
      }
      time = *taken;
    } else if (label == "EXPONENT") {
      const auto exponent = to_ionex_exponent(*line);
      if (!exponent) {
        return bad("the exponent is not a small whole number");
      }
      map_exponent_ = *exponent;
    } else if (label == "LAT/LON1/LON2/DLON/H") {
      if (auto taken = read_row(*line, values); !taken) {
        return taken;
      }
    } else if (label.starts_with("END OF ") && label.substr(7, 3) == kind) {
      if (!time || values.size() != nodes) {
        return bad("the map has no time, or fewer rows than its grid");
      }
      return keep(kind, *time, std::move(values));
    } else if (label != "COMMENT") {
      return bad("a line of no kind that maps have");
    }
  }
}

Status IonexReader::step_over(std::string_view end) {
  ++product_.maps_left_out;
  for (;;) {
    const auto line = need_line();
    if (!line) {
      return fail(line.error());
    }
    if (ionex_label(*line) == end) {
      return ok();
    }
  }
}

Result<IonosphereProduct> IonexReader::read() {
  product_.source = lines_.name();
  if (auto head = read_head(); !head) {
    return fail(std::move(head.error()));
  }
  for (bool ended = false; !ended;) {
    const auto line = need_line();
    if (!line) {
      return fail(line.error());
    }
    const std::string_view label = ionex_label(*line);
    Status taken = ok();
    if (label == "START OF TEC MAP") {
      taken = read_map("TEC");
    } else if (label == "START OF RMS MAP") {
      taken = read_map("RMS");
    } else if (label == "START OF HEIGHT MAP") {
      taken = step_over("END OF HEIGHT MAP");
    } else if (label == "END OF FILE") {
      taken = expect_end(lines_, "END OF FILE");
      ended = true;
    } else if (label != "COMMENT" && !trim(*line).empty()) {
      taken = bad("a line of no kind that ionosphere files have");
    }
    if (!taken) {
      return fail(std::move(taken.error()));
    }
  }
  if (product_.maps.empty()) {
    return fail(ErrorCode::kNoData, "the file has no map", lines_.where());
  }
  return std::move(product_);
}

}  // namespace

Result<IonosphereProduct> read_ionex(std::unique_ptr<ByteStream> stream,
                                     IonexReaderOptions options) {
  return IonexReader(std::move(stream), options).read();
}

}  // namespace stillpoint::products
