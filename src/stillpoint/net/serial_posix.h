// Serial devices of Linux: opened alone, raw, 8 data bits, no parity, one stop
// bit, at any speed.
#pragma once

#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/net/source_address.h"

namespace stillpoint::net {

// Opens and sets up a device; its lines (DTR, RTS) are raised, and stay so
// when it is closed. With software flow control the bytes 0x11 and 0x13 are
// taken out of the stream: for text only.
//
//   returns  a descriptor that does not block
//   errors   kIo: not there, no right to, open elsewhere, set-up failed;
//            kUsage: no serial device; kConfig: more than 3 % beside the speed
//            asked for
Result<int> open_serial(const std::string& path,
                        unsigned baud,
                        FlowControl flow);

// Lets others open it again; before it is closed.
void release_serial(int descriptor);

}  // namespace stillpoint::net
