// The computer's clock, read nowhere else but in the program itself.
#pragma once

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::app {

// Now, as far as the computer knows it.
GnssTime now();

}  // namespace stillpoint::app
