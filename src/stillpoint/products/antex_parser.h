// The reading of an ANTEX file, line by line. Inside products only.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/antex_reader.h"

namespace stillpoint::products {

class AntexReader {
 public:
  AntexReader(std::unique_ptr<ByteStream> stream, AntexReaderOptions options)
      : lines_(std::move(stream)), options_(std::move(options)) {}

  Result<AntennaProduct> read();

 private:
  struct Line {
    std::string_view text;
    std::string_view label;
  };

  Result<bool> next(Line& line);
  // A line inside the header or an antenna.
  Status need(Line& line);
  Status read_head();
  Status read_antenna();
  Status skip_antenna();
  Status take_antenna_line(const Line& line, AntennaPattern& antenna);
  Status take_type(const Line& line, AntennaPattern& antenna);
  Status take_validity(const Line& line, std::optional<GnssTime>& into);
  Status take_zenith(const Line& line, AntennaPattern& antenna);
  Status take_azimuth(const Line& line, AntennaPattern& antenna);
  Status read_frequency(std::string_view code, AntennaPattern& antenna);
  Status take_row(std::string_view text, AntennaFrequency& frequency);
  Status finish_frequency(const AntennaFrequency& frequency) const;
  Status skip_rms();
  Status count_comment();
  [[nodiscard]] bool wanted(const AntennaPattern& antenna) const;

  [[nodiscard]] tl::unexpected<Error> bad(std::string what) const {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }
  [[nodiscard]] tl::unexpected<Error> bad_head(std::string what) const {
    return fail(ErrorCode::kBadHeader, std::move(what), lines_.where());
  }

  LineReader lines_;
  AntexReaderOptions options_;
  AntennaProduct product_;
  std::size_t values_ = 0, comments_ = 0;
  // Of the antenna being read; 0: not known yet.
  std::size_t zeniths_ = 0, azimuths_ = 0;
  double azimuth_step_deg_ = 0;
  bool offset_seen_ = false, typed_ = false;
};

}  // namespace stillpoint::products
