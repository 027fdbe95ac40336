// Which losses a source waits out and which end it.
#pragma once

#include "stillpoint/core/result.h"

namespace stillpoint::net {

// Whether another try may go better.
//
//   kIo, kTruncated, kTooLarge   always: a cable, a name server, a caster that
//                                is down, a device that is not there yet or
//                                whose rights are still being set, a
//                                certificate that ran out, a clock not yet set
//   kConfig                      where it has worked before (`worked`): then
//                                the other side changed, and may change back.
//                                At the first try it is our own setting: a
//                                certificate for another name or not trusted,
//                                a speed that the device cannot do, a wrong
//                                password or mount
//   all others                   never
bool is_worth_retrying(const Error& why, bool worked);

}  // namespace stillpoint::net
