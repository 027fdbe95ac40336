#include "stillpoint/core/error_table.h"

#include <array>
#include <cstdio>
#include <cstdlib>

#include "stillpoint/core/check.h"
#include "stillpoint/core/result.h"

namespace stillpoint {
namespace {

constexpr std::array kRows{
    ErrorRow{ErrorCode::kTruncated,
             "truncated",
             "the file ends in the middle; copy or download it again"},
    ErrorRow{ErrorCode::kBadChecksum,
             "bad_checksum",
             "the bytes were damaged on the way; copy or download them again"},
    ErrorRow{ErrorCode::kOutOfRange,
             "out_of_range",
             "give a value inside the range that the message names"},
    ErrorRow{ErrorCode::kIo,
             "io",
             "check that the path exists and that this user may read it"},
    ErrorRow{ErrorCode::kConfig,
             "config",
             "correct the line that the message names"},
    ErrorRow{ErrorCode::kUsage,
             "usage",
             "see stillpoint VERB --help for what this verb takes"},
    ErrorRow{ErrorCode::kBadFormat,
             "bad_format",
             "check that this is the kind of file the option expects, and that "
             "it is undamaged"},
    ErrorRow{ErrorCode::kUnsupported,
             "unsupported",
             "convert the file to one of the versions that the message names"},
    ErrorRow{ErrorCode::kTooLarge,
             "too_large",
             "the input exceeds a safety limit; check that it is not damaged"},
    ErrorRow{ErrorCode::kNoData,
             "no_data",
             "give files that cover the time and the satellites observed"},
    ErrorRow{ErrorCode::kMixedInput,
             "mixed_input",
             "give files of one receiver and one station in time order"},
    ErrorRow{
        ErrorCode::kBadHeader,
        "bad_header",
        "check that this is the kind of file asked for here; if it is, its "
        "header is damaged: get the original file"},
    ErrorRow{ErrorCode::kInternal,
             "internal",
             "this is a mistake of the program; please report it with the "
             "command and the file"},
    ErrorRow{ErrorCode::kFrameUnknown,
             "frame_unknown",
             "give a frame that docs/frames.md ties to ITRF2014 or ITRF2020, "
             "such as IGS20"},
};

const ErrorRow& row_of(ErrorCode code) {
  for (const ErrorRow& row : kRows) {
    if (row.code == code) {
      return row;
    }
  }
  return row_of(ErrorCode::kInternal);  // it has a row
}

}  // namespace

std::span<const ErrorRow> error_rows() {
  return kRows;
}

const char* error_name(ErrorCode code) {
  return row_of(code).name;
}

const char* default_remedy(ErrorCode code) {
  return row_of(code).remedy;
}

std::string Error::text() const {
  return where.empty() ? what : where + ": " + what;
}

void check_failed(const char* condition, const char* file, int line) {
  std::fprintf(stderr,
               "stillpoint: broken invariant at %s:%d: %s\n",
               file,
               line,
               condition);
  std::abort();
}

}  // namespace stillpoint
