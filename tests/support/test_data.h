// Real station-days: found through STILLPOINT_DATA (set by CMake from the
// environment or ../shared/data), never in the repository.
#pragma once

#include <string>

namespace stillpoint::test {

// Path of a data file, or "" where there is no data.
std::string data_path(const std::string& relative);

}  // namespace stillpoint::test

// First line of a test that needs real data:
//   const std::string path = STILLPOINT_DATA_OR_SKIP("days/usno0200.05o.gz");
#define STILLPOINT_DATA_OR_SKIP(relative)                \
  ::stillpoint::test::data_path(relative);               \
  if (::stillpoint::test::data_path(relative).empty()) { \
    GTEST_SKIP() << "skipped: no data";                  \
  }                                                      \
  static_assert(true, "")
