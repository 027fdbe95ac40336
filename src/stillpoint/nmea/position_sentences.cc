#include <numbers>

#include "stillpoint/nmea/decoders.h"

namespace stillpoint::nmea {
namespace {

constexpr double kKnotMps = 1852.0 / 3600;
constexpr double kRadPerDeg = std::numbers::pi / 180;
// Beyond these a number is damage, not a measurement.
constexpr double kMaxMetres = 1e8;
constexpr double kMaxSeconds = 1e7;
constexpr double kMaxKnots = 1e5;
constexpr double kMaxDop = 1e4;

std::optional<double> scaled(std::optional<double> value, double factor) {
  return value ? std::optional(*value * factor) : std::nullopt;
}

// A length whose unit, in the next field, is metres or not said.
std::optional<double> metres(FieldReader& in, std::size_t index) {
  in.letter(index + 1, "M");
  return in.number(index, -kMaxMetres, kMaxMetres);
}

}  // namespace

std::optional<double> Gga::ellipsoidal_height_m() const {
  if (!altitude_m || !geoid_separation_m) {
    return std::nullopt;
  }
  return *altitude_m + *geoid_separation_m;
}

Gga decode_gga(FieldReader& in) {
  Gga gga;
  if (!in.has(15)) {
    return gga;
  }
  gga.utc_s = in.utc_s(1);
  gga.lat_rad = in.angle_rad(2, "NS");
  gga.lon_rad = in.angle_rad(4, "EW");
  if (const auto quality = in.integer(6, 0, 9)) {
    gga.quality = static_cast<FixQuality>(*quality);
  }
  gga.satellites = in.integer(7, 0, 999);
  gga.hdop = in.number(8, 0, kMaxDop);
  gga.altitude_m = metres(in, 9);
  gga.geoid_separation_m = metres(in, 11);
  gga.correction_age_s = in.number(13, 0, kMaxSeconds);
  gga.reference_id = in.integer(14, 0, 9999);
  return gga;
}

Rmc decode_rmc(FieldReader& in) {
  Rmc rmc;
  // Older than 2.3: 11 fields, no mode. Magnetic variation (10, 11) and the
  // navigation status (13) are not kept.
  if (!in.has(12)) {
    return rmc;
  }
  rmc.utc_s = in.utc_s(1);
  if (const auto status = in.letter(2, "AV")) {
    rmc.status = static_cast<RmcStatus>(*status);
  }
  rmc.lat_rad = in.angle_rad(3, "NS");
  rmc.lon_rad = in.angle_rad(5, "EW");
  rmc.speed_mps = scaled(in.number(7, 0, kMaxKnots), kKnotMps);
  rmc.course_rad = scaled(in.number(8, 0, 360), kRadPerDeg);
  rmc.date = in.date(9);
  if (const auto mode = in.letter(12, "")) {
    rmc.mode = static_cast<PositionMode>(*mode);
  }
  return rmc;
}

Gst decode_gst(FieldReader& in) {
  Gst gst;
  if (!in.has(9)) {
    return gst;
  }
  gst.utc_s = in.utc_s(1);
  gst.rms_m = in.number(2, 0, kMaxMetres);
  gst.semi_major_m = in.number(3, 0, kMaxMetres);
  gst.semi_minor_m = in.number(4, 0, kMaxMetres);
  gst.orientation_rad = scaled(in.number(5, -360, 360), kRadPerDeg);
  gst.lat_sigma_m = in.number(6, 0, kMaxMetres);
  gst.lon_sigma_m = in.number(7, 0, kMaxMetres);
  gst.alt_sigma_m = in.number(8, 0, kMaxMetres);
  return gst;
}

}  // namespace stillpoint::nmea
