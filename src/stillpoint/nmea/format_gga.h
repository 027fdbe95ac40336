// GGA for those who ask a correction service for corrections near them.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/nmea/sentence.h"

namespace stillpoint::nmea {

// The whole sentence with checksum and line end. What has no value is left
// empty. A sentence may have 82 characters, its line end included: minutes of
// latitude and longitude get as many decimals as that leaves room for, seven
// at most (0.2 mm). A dilution of precision beyond 99.9 is written as 99.9.
//
//   talker   two capital letters
//   errors   kOutOfRange for a value that its field cannot say: a latitude
//            beyond a pole, a negative count, no number at all
Result<std::string> format_gga(const Gga& gga, std::string_view talker = "GP");

}  // namespace stillpoint::nmea
