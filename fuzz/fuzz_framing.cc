// Any text as a receiver profile. Oracle: what is accepted holds together and
// makes a splitter that takes bytes; what is refused says where and what.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/profile/framing.h"
#include "stillpoint/profile/splitter.h"

namespace {

class Sum final : public stillpoint::profile::FrameSink {
 public:
  void on_frame(const stillpoint::profile::StreamFrame& frame) override {
    bytes += frame.bytes.size();
  }
  std::uint64_t bytes = 0;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size > kMaxSize) {
    return 0;
  }
  const std::string text(data, data + size);
  const auto framings = stillpoint::profile::parse_framings(text, "fuzz");
  if (!framings) {
    const stillpoint::Error& error = framings.error();
    STILLPOINT_CHECK(error.code == stillpoint::ErrorCode::kConfig);
    STILLPOINT_CHECK(error.where.starts_with("fuzz:"));
    STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
    return 0;
  }
  for (const auto& framing : *framings) {
    STILLPOINT_CHECK(!stillpoint::profile::find_mistake(framing));
  }
  // The text as a stream too: its syncs may well be in it.
  stillpoint::profile::StreamSplitter splitter(*framings);
  Sum sum;
  splitter.push(stillpoint::ByteSpan(data, size), sum);
  splitter.finish(sum);
  STILLPOINT_CHECK(sum.bytes + splitter.counts().skipped_bytes == size);
  return 0;
}
