// NMEA sentences, one a line; a line without '$' gets a frame, so that the
// fuzzer need not guess checksums. What must hold for any bytes: numbers are
// finite and within what they mean, satellites can be written and read back,
// groups are no larger than promised, and a position that was read can be
// written and read again.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "stillpoint/core/check.h"
#include "stillpoint/nmea/format_gga.h"
#include "stillpoint/nmea/gsv_groups.h"
#include "stillpoint/nmea/sentence.h"

namespace {

using namespace stillpoint::nmea;

constexpr double kPi = std::numbers::pi;

void within(const std::optional<double>& value, double low, double high) {
  STILLPOINT_CHECK(!value || (*value >= low && *value <= high));
}

template <class Message>
void check_place(const Message& m) {
  within(m.utc_s, 0, std::nextafter(86'401, 0));
  within(m.lat_rad, -kPi / 2, kPi / 2);
  within(m.lon_rad, -kPi, kPi);
}

void check(const Other&) {}

void check(const Gga& gga) {
  check_place(gga);
  within(gga.ellipsoidal_height_m(), -1e9, 1e9);
  const auto text = format_gga(gga);
  if (!text) {
    STILLPOINT_CHECK(text.error().code == stillpoint::ErrorCode::kOutOfRange);
    return;
  }
  STILLPOINT_CHECK(text->size() <= 82);
  const auto again = parse_sentence(*text);
  STILLPOINT_CHECK(again && again->kind() == Kind::kGga);
  const Gga& same = std::get<Gga>(again->value);
  STILLPOINT_CHECK(same.quality == gga.quality &&
                   same.satellites == gga.satellites &&
                   same.reference_id == gga.reference_id);
  STILLPOINT_CHECK(same.lat_rad.has_value() == gga.lat_rad.has_value());
  // At the worst one decimal of a minute.
  STILLPOINT_CHECK(!gga.lat_rad || std::abs(*same.lat_rad - *gga.lat_rad) <
                                       0.051 / 60 * kPi / 180);
}

void check(const Rmc& rmc) {
  check_place(rmc);
  within(rmc.speed_mps, 0, 1e5);
  within(rmc.course_rad, 0, 2 * kPi);
}

void check(const Gst& gst) {
  within(gst.rms_m, 0, 1e8);
  within(gst.alt_sigma_m, 0, 1e8);
}

void check(const Gsv& gsv) {
  STILLPOINT_CHECK(gsv.index >= 1 && gsv.index <= gsv.total);
  STILLPOINT_CHECK(gsv.satellites.size() <= 4);
  for (const SatelliteInView& seen : gsv.satellites) {
    within(seen.elevation_rad, -kPi / 2, kPi / 2);
    within(seen.azimuth_rad, 0, 2 * kPi);
    within(seen.cn0_dbhz, 0, 99);
    STILLPOINT_CHECK(!seen.sat ||
                     stillpoint::parse_satellite(seen.sat->text()) == seen.sat);
  }
}

void take(std::string_view line, GsvGroups& groups) {
  const bool framed = line.starts_with('$') || line.starts_with('!');
  const std::string text = framed ? std::string(line) : frame_sentence(line);
  const auto sentence = parse_sentence(text);
  if (!sentence) {
    STILLPOINT_CHECK(!sentence.error().what.empty());
    return;
  }
  STILLPOINT_CHECK(!sentence->talker.empty() && sentence->talker.size() <= 2);
  STILLPOINT_CHECK(!sentence->type.empty());
  std::visit([](const auto& value) { check(value); }, sentence->value);
  if (const Gsv* gsv = std::get_if<Gsv>(&sentence->value)) {
    if (const auto group = groups.add(*gsv)) {
      STILLPOINT_CHECK(group->satellites.size() <=
                       std::size_t{4} * GsvGroups::kMaxSentences);
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  const std::string bytes(data, data + size);
  std::string_view rest = bytes;
  GsvGroups groups;
  while (!rest.empty()) {
    const std::size_t end = rest.find('\n');
    take(rest.substr(0, end), groups);
    rest.remove_prefix(end == rest.npos ? rest.size() : end + 1);
  }
  return 0;
}
