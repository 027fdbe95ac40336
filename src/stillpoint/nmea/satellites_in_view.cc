#include <numbers>

#include "stillpoint/nmea/decoders.h"
#include "stillpoint/nmea/satellite_numbers.h"

namespace stillpoint::nmea {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180;
constexpr std::size_t kFirst = 4, kPerSatellite = 4, kMostSatellites = 4;

std::optional<double> degrees(FieldReader& in,
                              std::size_t index,
                              double low,
                              double high) {
  const auto value = in.number(index, low, high);
  return value ? std::optional(*value * kRadPerDeg) : std::nullopt;
}

// Four fields; nothing for four empty ones, which fill up short lists.
std::optional<SatelliteInView> satellite(FieldReader& in,
                                         std::size_t at,
                                         std::string_view talker) {
  if (in.text(at).empty() && in.text(at + 1).empty() &&
      in.text(at + 2).empty() && in.text(at + 3).empty()) {
    return std::nullopt;
  }
  const auto number = in.integer(at, 1, 999);
  if (!number) {
    in.fail_field(ErrorCode::kBadFormat, at);
    return std::nullopt;
  }
  SatelliteInView seen;
  seen.number = *number;
  seen.sat = satellite_of(talker, *number);
  seen.elevation_rad = degrees(in, at + 1, -90, 90);
  seen.azimuth_rad = degrees(in, at + 2, 0, 360);
  seen.cn0_dbhz = in.number(at + 3, 0, 99);
  return seen;
}

}  // namespace

Gsv decode_gsv(FieldReader& in, std::string_view talker) {
  Gsv gsv;
  gsv.talker = talker;
  if (!in.has(kFirst)) {
    return gsv;
  }
  gsv.total = in.integer(1, 1, 99).value_or(0);
  gsv.index = in.integer(2, 1, 99).value_or(0);
  if (gsv.index == 0 || gsv.index > gsv.total) {
    in.fail_field(ErrorCode::kOutOfRange, 2);
  }
  gsv.satellites_in_view = in.integer(3, 0, 999);
  const std::size_t behind = in.count() - kFirst;
  const std::size_t satellites = behind / kPerSatellite;
  const std::size_t left = behind % kPerSatellite;
  if (satellites > kMostSatellites || left > 1) {
    in.fail_field(ErrorCode::kBadFormat, in.count() - 1);
    return gsv;
  }
  for (std::size_t k = 0; k < satellites; ++k) {
    if (auto seen = satellite(in, kFirst + k * kPerSatellite, talker)) {
      gsv.satellites.push_back(*seen);
    }
  }
  if (left == 1) {
    gsv.signal_id = in.hex_digit(in.count() - 1);
  }
  return gsv;
}

}  // namespace stillpoint::nmea
