#include "stillpoint/simulate/output/receiver_port.h"

#include <array>
#include <cmath>

#include "stillpoint/core/check.h"
#include "stillpoint/nmea/format_gga.h"
#include "stillpoint/profile/checksum.h"
#include "stillpoint/profile/profile.h"
#include "stillpoint/profile/shipped.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

constexpr std::array<std::uint8_t, 2> kSync{0x9E, 0xC4};
constexpr std::size_t kHead = 6, kTail = 4;
constexpr int kRate = 0x10, kMessages = 0x11, kPosition = 0x12;
constexpr int kStatus = 0x20, kDone = 0xA0, kRefused = 0xA1;
constexpr int kUnknown = 1, kBadLength = 2, kBadValue = 3;
constexpr int kGgaEveryS = 10;

std::vector<profile::MakerFraming> framings() {
  const auto shipped = profile::find_shipped_profile("spdemo-r1");
  STILLPOINT_CHECK(shipped.has_value());
  auto parsed = profile::parse_profile(shipped->toml, "spdemo-r1");
  STILLPOINT_CHECK(parsed.has_value());
  return parsed->framings;
}

// Little-endian whole number.
std::uint64_t number_at(ByteSpan bytes, std::size_t at, std::size_t size) {
  std::uint64_t value = 0;
  for (std::size_t i = size; i-- > 0;) {
    value = value << 8U | bytes[at + i];
  }
  return value;
}

}  // namespace

ReceiverPort::ReceiverPort(const Sky& sky,
                           const ReceiverScenario& receiver,
                           RtcmStreamOptions options)
    : sky_(sky),
      receiver_(receiver),
      stream_(sky, receiver, std::move(options)),
      splitter_(framings()) {}

std::vector<std::uint8_t> ReceiverPort::packet(int number, ByteSpan payload) {
  std::vector<std::uint8_t> p(kSync.begin(), kSync.end());
  p.push_back(static_cast<std::uint8_t>(number));
  p.push_back(count_++);
  p.push_back(static_cast<std::uint8_t>(payload.size() & 0xffU));
  p.push_back(static_cast<std::uint8_t>(payload.size() >> 8U));
  p.insert(p.end(), payload.begin(), payload.end());
  profile::append_checksum({.rule = profile::ChecksumRule::kCrc32,
                            .from = kSync.size(),
                            .little_endian = true},
                           p);
  return p;
}

Result<std::vector<std::uint8_t>> ReceiverPort::epoch(const Epoch& epoch) {
  std::vector<std::uint8_t> out;
  const std::int64_t ms = epoch.time.ns() / 1'000'000;
  if (ms % settings_.interval_ms != 0) {
    return out;
  }
  if (auto added = stream_.add(epoch, out); !added) {
    return fail(std::move(added.error()));
  }
  // Satellites in use, signals, and how warm it is inside (tenths of a degree).
  const std::array<std::uint8_t, 4> status{
      static_cast<std::uint8_t>(epoch.satellites.size()),
      static_cast<std::uint8_t>(epoch.observations.size()),
      0x7c,
      0x01};
  const std::vector<std::uint8_t> about = packet(kStatus, status);
  out.insert(out.end(), about.begin(), about.end());
  if (ms / 1000 % kGgaEveryS == 0 && ms % 1000 == 0) {
    const Calendar utc = to_calendar(epoch.time, TimeScale::kUtc);
    nmea::Gga gga;
    gga.utc_s = 3600.0 * utc.hour + 60.0 * utc.minute + utc.second;
    gga.lat_rad = receiver_.marker.lat_rad;
    gga.lon_rad = receiver_.marker.lon_rad;
    gga.satellites = static_cast<int>(epoch.satellites.size());
    gga.quality = nmea::FixQuality::kSimulator;
    if (const auto line = nmea::format_gga(gga, "GN")) {
      out.insert(out.end(), line->begin(), line->end());
    }
  }
  return out;
}

std::vector<std::uint8_t> ReceiverPort::take(ByteSpan bytes) {
  answer_.clear();
  splitter_.push(bytes, *this);
  return std::move(answer_);
}

void ReceiverPort::on_frame(const profile::StreamFrame& frame) {
  if (frame.kind != profile::FrameKind::kMaker ||
      frame.bytes.size() < kHead + kTail) {
    return;
  }
  const int command = frame.bytes[2];
  const ByteSpan payload =
      frame.bytes.subspan(kHead, frame.bytes.size() - kHead - kTail);
  ++settings_.commands;
  const int reason = obey(command, payload);
  settings_.refused += reason == 0 ? 0 : 1;
  const std::array<std::uint8_t, 2> said{static_cast<std::uint8_t>(command),
                                         static_cast<std::uint8_t>(reason)};
  const std::vector<std::uint8_t> reply =
      reason == 0 ? packet(kDone, ByteSpan(said).first(1))
                  : packet(kRefused, said);
  answer_.insert(answer_.end(), reply.begin(), reply.end());
}

int ReceiverPort::obey(int command, ByteSpan payload) {
  switch (command) {
    case kRate: {
      if (payload.size() != 2) {
        return kBadLength;
      }
      const auto ms = static_cast<int>(number_at(payload, 0, 2));
      if (ms < 50) {
        return kBadValue;
      }
      settings_.interval_ms = ms;
      settings_.told_interval = true;
      return 0;
    }
    case kMessages: {
      if (payload.size() % 2 != 0) {
        return kBadLength;
      }
      // Ephemerides come whatever is asked for.
      std::set<int> types{1019, 1020, 1042, 1044, 1045, 1046};
      for (std::size_t i = 0; i < payload.size(); i += 2) {
        types.insert(static_cast<int>(number_at(payload, i, 2)));
      }
      stream_.send_only(std::move(types));
      return 0;
    }
    case kPosition: {
      if (payload.size() != 24) {
        return kBadLength;
      }
      const auto metres = [&](std::size_t at) {
        return 1e-4 * static_cast<double>(
                          static_cast<std::int64_t>(number_at(payload, at, 8)));
      };
      const Ecef arp{metres(0), metres(8), metres(16)};
      if (!(norm(arp) > 6.3e6 && norm(arp) < 6.5e6)) {
        return kBadValue;
      }
      settings_.arp_m = arp;
      stream_.set_position(arp);
      return 0;
    }
    default:
      return kUnknown;
  }
}

}  // namespace stillpoint::simulate
