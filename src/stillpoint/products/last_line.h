// What may stand behind a file's last line. Inside products only.
#pragma once

#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/pack/line_reader.h"

namespace stillpoint::products {

// Nothing but blank lines; reading them also lets the unpacking check its sums.
//
//   last     how the last line is called: "%ENDSNX"
//   errors   kBadFormat with "path:line"; what reading a line reports
Status expect_end(LineReader& lines, const std::string& last);

}  // namespace stillpoint::products
