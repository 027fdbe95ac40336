// Position records of an invented roof.
#pragma once

#include "stillpoint/store/position_records.h"

namespace stillpoint::test {

// As a document of a solution brings it; `digit` (0-9, a-f) makes the checksum.
PositionRecord record_of_document(char digit);
PositionRecord record_by_hand();

}  // namespace stillpoint::test
