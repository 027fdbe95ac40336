// One decoder a sentence type. Each reads the fields it knows; what is wrong
// with them stands in the reader.
#pragma once

#include <string_view>

#include "stillpoint/nmea/field_reader.h"
#include "stillpoint/nmea/sentence.h"

namespace stillpoint::nmea {

Gga decode_gga(FieldReader& in);
Rmc decode_rmc(FieldReader& in);
Gst decode_gst(FieldReader& in);
Gsv decode_gsv(FieldReader& in, std::string_view talker);

}  // namespace stillpoint::nmea
