#include "stillpoint/app/demo_rover.h"

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "stillpoint/ntrip/client_source.h"

namespace stillpoint::app {
namespace {

constexpr double kGapSteps = 1.5;  // an epoch is missing in between

}  // namespace

DemoRover::DemoRover(std::string name, GnssTime day, double interval_s)
    : interval_s_(interval_s),
      reader_({.decoder = {.day = day, .era = day}, .framings = {}}, *this) {
  facts_.name = std::move(name);
}

Status DemoRover::start(net::Loop& loop,
                        std::uint16_t port,
                        const std::string& mount,
                        const std::string& password_file) {
  auto address = net::parse_source(
      fmt::format("ntrip://{}@127.0.0.1:{}/{}", facts_.name, port, mount));
  if (!address) {
    return fail(std::move(address.error()));
  }
  // Not in the text: a path may hold what ends an option there.
  address->password_file = password_file;
  // It waits for as long as the station has nothing to say.
  net::SourceOptions options;
  options.silence_s = 0;
  auto source = ntrip::open_any_source(
      loop,
      *address,
      options,
      {.program_version = STILLPOINT_VERSION, .gga = {}});
  if (!source) {
    return fail(std::move(source.error()));
  }
  source_ = std::move(*source);
  source_->start(*this);
  return ok();
}

void DemoRover::stop() {
  if (source_) {
    source_->stop();
    reader_.finish();
  }
  facts_.listens = false;
}

RoverFacts DemoRover::facts() const {
  RoverFacts facts = facts_;
  const intake::StreamCounts counts = reader_.counts();
  facts.bad_frames = counts.split.bad_checksum + counts.malformed;
  return facts;
}

void DemoRover::on_bytes(ByteSpan bytes) {
  facts_.bytes += bytes.size();
  reader_.push(bytes);
}

void DemoRover::on_status(const net::SourceStatus& status) {
  facts_.listens = status.state == net::SourceState::kOpen;
  facts_.sessions += facts_.listens ? 1 : 0;
  facts_.why = status.why ? status.why->text() : "";
}

void DemoRover::on_rtcm(std::optional<int> type, ByteSpan /*frame*/) {
  constexpr int kNotice = 1029;
  ++facts_.frames;
  facts_.notices += type == kNotice ? 1U : 0U;
}

void DemoRover::on_position(const rtcm::StationPosition& position,
                            int /*type*/) {
  facts_.told_arp = position.arp_m;
  ++facts_.positions;
}

void DemoRover::on_epoch(const Epoch& epoch, rtcm::EpochOrigin /*origin*/) {
  ++facts_.epochs;
  if (facts_.last_epoch) {
    const double steps = (epoch.time - *facts_.last_epoch).s / interval_s_;
    if (steps > kGapSteps) {
      ++facts_.gaps;
      facts_.epochs_missed +=
          static_cast<std::uint64_t>(std::lround(steps)) - 1;
    }
  }
  facts_.last_epoch = epoch.time;
}

}  // namespace stillpoint::app
