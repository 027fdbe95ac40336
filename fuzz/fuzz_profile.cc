// Any text as a receiver profile with its start-up, played on that text as the
// receiver's stream. Oracle: what is refused says where and what; what is
// accepted can be rendered, ends in bounded tries, and finds the same in pieces
// as in one.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/profile/start_up.h"

namespace {

using stillpoint::ByteSpan;
using namespace stillpoint::profile;

const StationValues kValues{.x_m = 4279402.4,
                            .y_m = 671220,
                            .z_m = 4666639.5,
                            .lat_deg = 47.3,
                            .lon_deg = 8.9,
                            .ellipsoidal_height_m = 512};

void check_steps(const Profile& profile) {
  for (const Step& step : profile.steps) {
    STILLPOINT_CHECK(missing_values(step, kValues).empty());
    const auto bytes = render(step, kValues);
    if (!bytes) {
      STILLPOINT_CHECK(bytes.error().code ==
                       stillpoint::ErrorCode::kOutOfRange);
      STILLPOINT_CHECK(bytes.error().where == step.place);
    } else {
      STILLPOINT_CHECK(!bytes->empty() &&
                       bytes->size() <= std::size_t{128} * 1024);
    }
  }
}

// What the exchange sends and finds when the stream comes in pieces.
std::string play(const Profile& profile, ByteSpan stream, std::size_t piece) {
  std::string log;
  StartUp start_up(profile,
                   kValues,
                   {.send =
                        [&](ByteSpan bytes) {
                          log.append(bytes.begin(), bytes.end());
                          return stillpoint::ok();
                        },
                    .on_event =
                        [&](const StepEvent& event) {
                          log += static_cast<char>(event.kind);
                          log += static_cast<char>(event.step);
                          log += static_cast<char>(event.try_number);
                        }});
  start_up.begin(0);
  for (std::size_t at = 0; at < stream.size(); at += piece) {
    start_up.on_bytes(stream.subspan(at, std::min(piece, stream.size() - at)),
                      0);
  }
  constexpr int kMostSteps = 64 * 21;  // tries, and a pause each
  int ticks = 0;
  while (const auto due_s = start_up.next_due_s()) {
    STILLPOINT_CHECK(++ticks <= kMostSteps);
    start_up.tick(*due_s);
  }
  STILLPOINT_CHECK(start_up.state() == StartUpState::kDone ||
                   start_up.state() == StartUpState::kFailed);
  return log;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size > kMaxSize) {
    return 0;
  }
  const auto profile = parse_profile(std::string(data, data + size), "fuzz");
  if (!profile) {
    const stillpoint::Error& error = profile.error();
    STILLPOINT_CHECK(error.code == stillpoint::ErrorCode::kConfig);
    STILLPOINT_CHECK(error.where.starts_with("fuzz:"));
    STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
    return 0;
  }
  check_steps(*profile);
  // The text as a stream too: its replies may well be in it.
  const ByteSpan stream(data, size);
  const std::string whole = play(*profile, stream, 1 + size);
  STILLPOINT_CHECK(play(*profile, stream, 1) == whole);
  STILLPOINT_CHECK(play(*profile, stream, 7) == whole);
  return 0;
}
