// A caster's "no", in words and with what to do.
//
// Errors are coded for net/retry.h: kIo may be cured by waiting, kConfig only
// where it has worked before, kUnsupported never. `where` is the source as
// given; no error holds a password.
#pragma once

#include "stillpoint/core/result.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/ntrip/response.h"
#include "stillpoint/ntrip/sourcetable.h"

namespace stillpoint::ntrip {

// What a head means that brings no stream (kRefusal, kRedirect, kUnknown).
Error explain(const ResponseHead& head, const net::SourceAddress& address);

// Whether the head says that the mountpoint is not there.
bool says_no_such_mount(const ResponseHead& head);

// Whether a caster that answers so to version 2 may understand version 1.
bool suggests_version_1(const ResponseHead& head);

// The mountpoint is not there, and this is what is: with the name that was
// meant, perhaps, and the names most like it. A mountpoint that is listed all
// the same has no stream at present (kIo).
Error no_such_mount(const net::SourceAddress& address,
                    const Sourcetable& table);

}  // namespace stillpoint::ntrip
