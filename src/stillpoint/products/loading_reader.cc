#include "stillpoint/products/loading_reader.h"

#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/fixed_text.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxStations = 20'000;
constexpr std::size_t kMaxName = 60;
constexpr std::size_t kComponents = 3;
constexpr std::size_t kRows = 2 * kComponents;
constexpr double kRadPerDeg = 3.14159265358979323846 / 180;
constexpr double kMostAmplitudeM = 10;
constexpr double kMostPhaseDeg = 360;
constexpr std::string_view kOrder = "M2 S2 N2 K2 K1 O1 P1 Q1 MF MM SSA";

class LoadingReader {
 public:
  explicit LoadingReader(std::unique_ptr<ByteStream> stream)
      : lines_(std::move(stream)) {}

  Result<LoadingProduct> read();

 private:
  Status take_comment(std::string_view text);
  Status take_name(std::string_view text);
  Status take_row(std::string_view text);

  [[nodiscard]] tl::unexpected<Error> bad(std::string what) const {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }
  [[nodiscard]] bool in_station() const { return rows_ < kRows; }

  LineReader lines_;
  LoadingProduct product_;
  std::string model_;         // of the comments before the first station
  std::size_t rows_ = kRows;  // of the last station
};

// "  11.9264   57.3958    0.00": longitude, latitude [deg], height [m].
std::optional<Geodetic> to_place(std::string_view text) {
  const auto lon_deg = to_real(next_word(text));
  const auto lat_deg = to_real(next_word(text));
  const auto height_m = to_real(next_word(text));
  constexpr double kMostHeightM = 1e5;
  if (!lon_deg || !lat_deg || std::abs(*lon_deg) > 360 ||
      std::abs(*lat_deg) > 90 ||
      std::abs(height_m.value_or(0)) > kMostHeightM) {
    return std::nullopt;
  }
  return Geodetic{
      *lat_deg * kRadPerDeg, *lon_deg * kRadPerDeg, height_m.value_or(0)};
}

// What follows a keyword, if the text has it.
std::optional<std::string_view> after(std::string_view text,
                                      std::string_view keyword) {
  const std::size_t at = text.find(keyword);
  if (at == std::string_view::npos) {
    return std::nullopt;
  }
  return trim(text.substr(at + keyword.size()));
}

std::string single_blanks(std::string_view text) {
  std::string words;
  for (;;) {
    const std::string_view word = next_word(text);
    if (word.empty()) {
      return words;
    }
    words += words.empty() ? "" : " ";
    words += word;
  }
}

Status LoadingReader::take_comment(std::string_view text) {
  if (const auto order = after(text, "COLUMN ORDER:")) {
    if (single_blanks(*order) != kOrder) {
      return fail(
          ErrorCode::kUnsupported,
          "the tides stand in another order than " + std::string(kOrder),
          lines_.where());
    }
  } else if (const auto model = after(text, "Ocean tide model:");
             model && product_.stations.empty()) {
    model_ = *model;
  } else if (auto centre = after(text, "CMC:")) {
    const std::string_view word = next_word(*centre);
    if (word == "YES" || word == "NO") {
      product_.centre_of_mass = word == "YES";
    }
  } else if (in_station()) {
    LoadingTides& station = product_.stations.back();
    if (const auto place = after(text, "lon/lat:"); place && !station.place) {
      station.place = to_place(*place);
    } else if (station.model.empty() && rows_ == 0 &&
               !text.starts_with("Computed by")) {
      const std::string_view name = text.substr(0, text.find(" ID:"));
      station.model = after(name, "Complete ").value_or(trim(name));
    }
  }
  return ok();
}

Status LoadingReader::take_name(std::string_view text) {
  if (text.size() > kMaxName) {
    return bad("the line is neither a comment nor the name of a station");
  }
  for (const char c : text) {
    if (c < ' ' || c > '~') {
      return bad("the name of a station has characters that are not printable");
    }
  }
  if (product_.stations.size() >= kMaxStations) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxStations) + " stations",
                lines_.where());
  }
  product_.stations.emplace_back();
  product_.stations.back().station = text;
  rows_ = 0;
  return ok();
}

Status LoadingReader::take_row(std::string_view text) {
  LoadingTides& station = product_.stations.back();
  const bool phase = rows_ >= kComponents;
  auto& row = phase ? station.phase_rad[rows_ - kComponents]
                    : station.amplitude_m[rows_];
  const double most = phase ? kMostPhaseDeg : kMostAmplitudeM;
  for (double& value : row) {
    const auto number = to_real(next_word(text));
    if (!number || std::abs(*number) > most) {
      std::string where = lines_.where();
      std::string_view line;
      const auto more = lines_.next(line);
      const bool last = more && !*more;
      std::string what = "row " + std::to_string(rows_ + 1);
      what += " of " + station.station;
      what += phase ? " is not eleven phases" : " is not eleven amplitudes";
      return fail(last ? ErrorCode::kTruncated : ErrorCode::kBadFormat,
                  std::move(what),
                  std::move(where));
    }
    value = phase ? *number * kRadPerDeg : *number;
  }
  if (!trim(text).empty()) {
    return bad("text after the eleven numbers of a row");
  }
  if (++rows_ == kRows && station.model.empty()) {
    station.model = model_;
  }
  return ok();
}

Result<LoadingProduct> LoadingReader::read() {
  product_.source = lines_.name();
  for (;;) {
    std::string_view line;
    const auto more = lines_.next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      break;
    }
    const std::string_view text = trim(line);
    if (text.empty()) {
      continue;
    }
    Status taken = text.starts_with("$$") ? take_comment(trim(text.substr(2)))
                   : in_station()         ? take_row(text)
                                          : take_name(text);
    if (!taken) {
      return fail(std::move(taken.error()));
    }
  }
  if (in_station()) {
    return fail(
        ErrorCode::kTruncated,
        "the file ends in the rows of " + product_.stations.back().station,
        lines_.where());
  }
  if (product_.stations.empty()) {
    return fail(ErrorCode::kNoData,
                "the file has no station with loading coefficients",
                lines_.where());
  }
  return std::move(product_);
}

}  // namespace

Result<LoadingProduct> read_loading(std::unique_ptr<ByteStream> stream) {
  return LoadingReader(std::move(stream)).read();
}

}  // namespace stillpoint::products
