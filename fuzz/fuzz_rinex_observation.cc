// Observation files of any version and form. Oracles: any split of the bytes
// gives the same epochs; every row of an epoch belongs to a satellite and holds
// a value.
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>

#include "rinex_fuzz_support.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  using namespace stillpoint;
  constexpr std::size_t kMaxSize = std::size_t{64} * 1024;  // bounded time
  if (size > kMaxSize) {
    return 0;
  }
  const std::string text(data, data + size);
  const auto whole = fuzz::read(memory_stream(text, "fuzz"));
  fuzz::check_sound(whole);
  const auto pieces = fuzz::read(std::make_unique<fuzz::Pieces>(text, 17));
  fuzz::check_same(whole, pieces);
  STILLPOINT_CHECK(whole.opened == pieces.opened &&
                   whole.failed == pieces.failed &&
                   whole.problems == pieces.problems);
  return 0;
}
