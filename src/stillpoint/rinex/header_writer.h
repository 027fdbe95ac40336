// Header of an observation file as text.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/rinex/observation_writer.h"
#include "stillpoint/rinex/version2_columns.h"

namespace stillpoint::rinex {

// Lines of 60 columns and a label; remembers the first thing that did not fit.
class HeaderLines {
 public:
  void add(std::string content, std::string_view label);
  // Text in its columns, blanks behind it; `name` is for the error.
  std::string text(std::string_view value,
                   std::size_t width,
                   std::string_view name);
  // Fwidth.decimals and Iwidth.
  std::string fixed(double value,
                    int width,
                    int decimals,
                    std::string_view name);
  std::string integer(std::int64_t value, int width, std::string_view name);
  //   errors   kOutOfRange
  Result<std::string> take();

 private:
  void complain(std::string what);

  std::string lines_;
  std::optional<Error> error_;
};

// All lines from the version to END OF HEADER. Lines that the standard requires
// stand there even where the header knows nothing to say; optional ones only
// where it does.
//
//   first_obs   of the header, or of the first epoch
//   errors      kOutOfRange for text or numbers that do not fit their columns,
//               and for text that is not printable ASCII
//   source      RINEX 2.11 table A1, 3.05 table A2, 4.02 table A2; formats
//               marked "memory" in shared checks section 7: PHASE SHIFT,
//               SLOT / FRQ, COD/PHS/BIS, positions and times
Result<std::string> header_text(const ObservationHeader& header,
                                const WrittenColumns& columns,
                                Version version,
                                GnssTime first_obs);

// The two lines before them in a Hatanaka-compressed file.
Result<std::string> compression_text(const ObservationHeader& header,
                                     Version version);

// Types, scale factors, phase shifts, GLONASS channels and biases.
void add_signal_lines(const ObservationHeader& header,
                      const WrittenColumns& columns,
                      Version version,
                      HeaderLines& lines);

}  // namespace stillpoint::rinex
