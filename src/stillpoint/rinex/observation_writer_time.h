// Instants as epoch lines and header lines print them.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/rinex/observation_writer.h"

namespace stillpoint::rinex {

// Scale of a file's epochs: that of its header, GPST where version 2.11 cannot
// name it. RINEX writes UTC as GLONASS time.
TimeScale written_scale(const ObservationHeader& header, Version version);

// "GPS", "GLO", …; nothing for TAI, which RINEX does not have.
std::optional<std::string_view> scale_name(TimeScale scale);

// 5I6,F13.7,5X,A3 of TIME OF FIRST OBS and TIME OF LAST OBS.
std::string header_time(GnssTime time, TimeScale scale);

class EpochHeads {
 public:
  // picoseconds: time below 100 ns is said apart, not rounded.
  EpochHeads(Version version, TimeScale scale, bool picoseconds)
      : version_(version), scale_(scale), picoseconds_(picoseconds) {}

  // An instant as an epoch line has it.
  struct Printed {
    GnssTime time;  // whole 100 ns
    int picoseconds = 0;
  };
  [[nodiscard]] Printed printed(GnssTime time) const;

  // The epoch line up to and with the flag and the number of satellites: 32
  // characters in version 2, 35 later. nullptr when good.
  const char* write(GnssTime printed,
                    EpochFlag flag,
                    std::size_t satellites,
                    std::string& to);

 private:
  const char* find_day(GnssTime time);

  Version version_;
  TimeScale scale_;
  bool picoseconds_;
  std::string date_;  // "> 2024 03 01 " of the day below
  std::int64_t day_start_ns_ = 0;
  bool has_day_ = false;
};

}  // namespace stillpoint::rinex
