#include "stillpoint/station/process_facts.h"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>

namespace stillpoint::station {

// source   proc(5), /proc/pid/statm: the second number counts resident pages
std::optional<std::uint64_t> resident_bytes() {
  std::ifstream statm("/proc/self/statm");
  std::uint64_t size = 0, resident = 0;
  if (!(statm >> size >> resident)) {
    return std::nullopt;
  }
  return resident * static_cast<std::uint64_t>(::sysconf(_SC_PAGESIZE));
}

std::optional<std::uint64_t> open_files() {
  std::error_code code;
  const std::filesystem::directory_iterator files("/proc/self/fd", code);
  if (code) {
    return std::nullopt;
  }
  return static_cast<std::uint64_t>(std::distance(begin(files), end(files)));
}

}  // namespace stillpoint::station
