#include "stillpoint/archive/received_run.h"

#include <algorithm>

namespace stillpoint::archive {

std::size_t byte_count(std::span<const Received> run) {
  std::size_t count = 0;
  for (const Received& r : run) {
    count += r.bytes.size();
  }
  return count;
}

ReceivedRun first_bytes(std::span<const Received> run, std::size_t count) {
  ReceivedRun first;
  for (const Received& r : run) {
    if (count == 0) {
      break;
    }
    const std::size_t taken = std::min(count, r.bytes.size());
    first.push_back({r.time, r.bytes.first(taken)});
    count -= taken;
  }
  return first;
}

ReceivedRun without_first(std::span<const Received> run, std::size_t count) {
  ReceivedRun rest;
  for (const Received& r : run) {
    const std::size_t skipped = std::min(count, r.bytes.size());
    count -= skipped;
    if (skipped < r.bytes.size()) {
      rest.push_back({r.time, r.bytes.subspan(skipped)});
    }
  }
  return rest;
}

ReceivedRun first_within(std::span<const Received> run, std::size_t size) {
  ReceivedRun first;
  std::size_t left = size - std::min(size, kMarksHead);
  for (const Received& r : run) {
    if (left <= kMarkSize) {
      break;
    }
    const std::size_t taken = std::min(r.bytes.size(), left - kMarkSize);
    first.push_back({r.time, r.bytes.first(taken)});
    left -= kMarkSize + taken;
  }
  return first;
}

}  // namespace stillpoint::archive
