// Epochs to the lines of plain RINEX text.
#pragma once

#include <string>

#include "stillpoint/rinex/observation_writer_rows.h"

namespace stillpoint::rinex {

//   source   RINEX 2.11 table A2; twelve satellites and five values a line
void append_epoch2(const EpochRecord& record, std::string& out);

//   source   RINEX 3.05 and 4.02, table A3
void append_epoch3(const EpochRecord& record, std::string& out);

}  // namespace stillpoint::rinex
