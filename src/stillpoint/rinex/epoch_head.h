// The line that opens an epoch or an event, every version.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "stillpoint/time/gnss_time.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::rinex {

struct EpochHead {
  std::optional<GnssTime> time;  // may be absent for events only
  int flag = 0;                  // 0 .. 6
  int count = 0;                 // satellites, or lines of an event
  std::optional<double> clock_s;
  // Instant as the line says it without picoseconds, for the order of epochs.
  [[nodiscard]] bool is_event() const { return flag >= 2 && flag <= 5; }
  [[nodiscard]] bool is_slips() const { return flag == 6; }
};

// Parses epoch lines. Keeps the day, so that the calendar is asked once a day.
class EpochHeadParser {
 public:
  // version: of the file; scale: of its epoch lines.
  EpochHeadParser(double version, TimeScale scale)
      : version_(version), scale_(scale) {}

  // Fills `head`; nullptr when good, else what is wrong.
  //
  //   with_clock   false for the compressed form, where other things stand in
  //                the columns of the clock
  //   source       RINEX 2.11 table A2, 3.05 table A3, 4.02 table A3;
  //                shared checks section 7
  const char* parse(std::string_view line, bool with_clock, EpochHead& head);

  [[nodiscard]] bool is_version2() const { return version_ < 3; }
  void set_scale(TimeScale scale);

  // Cheap test that a line may open an epoch: '>', or in version 2 the blanks,
  // digits and point that data lines cannot have there.
  [[nodiscard]] bool may_open(std::string_view line) const;

 private:
  const char* parse_time(std::string_view line,
                         std::size_t first,
                         int year,
                         std::optional<GnssTime>& time);

  double version_;
  TimeScale scale_;
  int year_ = 0, month_ = 0, day_ = 0;  // of day_start_
  std::int64_t day_start_ns_ = 0;
};

}  // namespace stillpoint::rinex
