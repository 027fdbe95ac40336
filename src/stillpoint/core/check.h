// STILLPOINT_CHECK(condition): for our own mistakes only. Says where and stops
// the program; a service manager restarts it and the archive recovers.
#pragma once

namespace stillpoint {

[[noreturn]] void check_failed(const char* condition,
                               const char* file,
                               int line);

}  // namespace stillpoint

#define STILLPOINT_CHECK(condition)                               \
  do {                                                            \
    if (!(condition)) {                                           \
      ::stillpoint::check_failed(#condition, __FILE__, __LINE__); \
    }                                                             \
  } while (false)
