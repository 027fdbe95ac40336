// What the standard calls its messages, for people.
#pragma once

namespace stillpoint::rtcm {

// English name of a message type; "proprietary" for 4001 to 4095, which
// companies have to themselves. Null where RTCM 10403.3 names nothing, drafts
// and later editions (1240 and above, but for 1300 to 1302) included.
//
//   source   RTCM 10403.3, table of message types; NavIC and 1300 to 1302 its
//            amendments; from memory
const char* message_name(int type);

}  // namespace stillpoint::rtcm
