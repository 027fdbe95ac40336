// Any text as a scenario of the simulated world, and what is accepted as that
// world for two epochs. Oracle: what is refused says where and what; what is
// accepted measures finite numbers, the same in a second world of the same
// text, and is sent or refused as RTCM.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/simulate/output/rtcm_stream.h"
#include "stillpoint/simulate/receiver/receiver.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::simulate;

// The sums of what a receiver measures in two epochs.
double measure(const Scenario& scenario) {
  const Sky sky(scenario);
  SimulatedReceiver receiver(sky, 0);
  RtcmStream stream(sky, scenario.receivers.front(), {});
  double sum = 0;
  std::vector<std::uint8_t> bytes;
  for (const double t_s : {0.0, scenario.receivers.front().interval_s}) {
    Epoch epoch;
    EpochTerms terms;
    if (!receiver.observe(t_s, epoch, &terms)) {
      continue;
    }
    for (const Observation& o : epoch.observations) {
      STILLPOINT_CHECK(std::isfinite(o.code_m) && std::isfinite(o.phase_cyc) &&
                       std::isfinite(o.doppler_hz) &&
                       std::isfinite(o.cn0_dbhz));
      sum += o.code_m + o.phase_cyc + o.doppler_hz + o.cn0_dbhz;
    }
    if (const Status sent = stream.add(epoch, bytes); !sent) {
      STILLPOINT_CHECK(sent.error().code == ErrorCode::kOutOfRange);
    }
  }
  return sum;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size > kMaxSize) {
    return 0;
  }
  auto scenario = parse_scenario(std::string(data, data + size), "fuzz");
  if (!scenario) {
    const Error& error = scenario.error();
    STILLPOINT_CHECK(error.code == ErrorCode::kConfig);
    STILLPOINT_CHECK(error.where.starts_with("fuzz:"));
    STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
    return 0;
  }
  // Its length and its satellites cost time and say nothing.
  scenario->length_s = std::min(scenario->length_s, 60.0);
  scenario->sky.systems = "GE";
  scenario->receivers.resize(1);
  const double first = measure(*scenario), again = measure(*scenario);
  STILLPOINT_CHECK(first == again);
  return 0;
}
