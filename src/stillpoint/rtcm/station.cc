#include "stillpoint/rtcm/station.h"

#include <fmt/format.h>

#include <utility>

#include "stillpoint/rtcm/field_fit.h"
#include "stillpoint/rtcm/safe_text.h"

namespace stillpoint::rtcm {
namespace {

constexpr double kPerMetre = 1e4;          // DF025 to DF028, 0.0001 m
constexpr double kBiasPerMetre = 50;       // DF423 to DF426, 0.02 m
constexpr double kPerIntervalSecond = 10;  // DF057, 0.1 s
constexpr std::int64_t kMaxCoordinate = (std::int64_t{1} << 37) - 1;
constexpr int kMaxStationId = 4095;
constexpr int kMaxMjd = 65535;
constexpr int kMaxSecondOfDay = 86400;  // the leap second
constexpr int kLeapUnknown = 255;
constexpr std::int16_t kBiasUnknown = -32768;
constexpr std::size_t kMaxAnnouncements = 31;
constexpr std::size_t kMaxTextBytes = 255;
constexpr std::size_t kMaxCharacters = 127;

double metres(std::int64_t raw) {
  return static_cast<double>(raw) / kPerMetre;
}

}  // namespace

StationPosition to_station_position(const RawStationPosition& raw) {
  StationPosition p;
  p.station_id = raw.station_id;
  p.arp_m = {metres(raw.x), metres(raw.y), metres(raw.z)};
  if (raw.type == 1006) {
    p.antenna_height_m = metres(raw.antenna_height);
  }
  p.itrf_year = raw.itrf_year;
  p.gps = raw.gps;
  p.glonass = raw.glonass;
  p.galileo = raw.galileo;
  p.computed = raw.computed;
  p.single_oscillator = raw.single_oscillator;
  p.quarter_cycle = static_cast<QuarterCycle>(raw.quarter_cycle & 3U);
  return p;
}

Result<RawStationPosition> to_raw(const StationPosition& position) {
  Fitter fit;
  const auto coordinate = [&fit](const char* what, double value_m) {
    return fit.scaled(
        what, value_m, kPerMetre, -kMaxCoordinate, kMaxCoordinate);
  };
  RawStationPosition raw;
  fit.whole(raw.station_id, "station id", position.station_id, kMaxStationId);
  fit.whole(raw.itrf_year, "ITRF year", position.itrf_year, 63);
  raw.gps = position.gps;
  raw.glonass = position.glonass;
  raw.galileo = position.galileo;
  raw.computed = position.computed;
  raw.single_oscillator = position.single_oscillator;
  raw.quarter_cycle = static_cast<std::uint8_t>(position.quarter_cycle);
  raw.x = coordinate("X", position.arp_m.x_m);
  raw.y = coordinate("Y", position.arp_m.y_m);
  raw.z = coordinate("Z", position.arp_m.z_m);
  if (position.antenna_height_m) {
    raw.type = 1006;
    raw.antenna_height = static_cast<std::uint16_t>(fit.scaled(
        "antenna height", *position.antenna_height_m, kPerMetre, 0, 65535));
  }
  return fit.result(std::move(raw));
}

AntennaDescription to_antenna_description(const RawAntenna& raw) {
  AntennaDescription a;
  a.station_id = raw.station_id;
  a.descriptor = raw.descriptor;
  a.setup_id = raw.setup_id;
  if (raw.type != 1007) {
    a.serial = raw.serial;
  }
  if (raw.type == 1033) {
    a.receiver_type = raw.receiver_type;
    a.firmware = raw.firmware;
    a.receiver_serial = raw.receiver_serial;
  }
  return a;
}

Result<RawAntenna> to_raw(const AntennaDescription& antenna, int type) {
  if (type != 1007 && type != 1008 && type != 1033) {
    return fail(ErrorCode::kUnsupported,
                fmt::format("message {} does not name an antenna", type));
  }
  Fitter fit;
  RawAntenna raw;
  raw.type = static_cast<std::uint16_t>(type);
  fit.whole(raw.station_id, "station id", antenna.station_id, kMaxStationId);
  fit.name(raw.descriptor, "antenna descriptor", antenna.descriptor);
  fit.whole(raw.setup_id, "setup id", antenna.setup_id, 255);
  if (type != 1007) {
    fit.name(raw.serial, "antenna serial", antenna.serial.value_or(""));
  }
  if (type == 1033) {
    fit.name(
        raw.receiver_type, "receiver type", antenna.receiver_type.value_or(""));
    fit.name(raw.firmware, "firmware", antenna.firmware.value_or(""));
    fit.name(raw.receiver_serial,
             "receiver serial",
             antenna.receiver_serial.value_or(""));
  }
  return fit.result(std::move(raw));
}

SystemParameters to_system_parameters(const RawSystemParameters& raw) {
  SystemParameters p;
  p.station_id = raw.station_id;
  p.mjd = raw.mjd;
  p.second_of_day = static_cast<int>(raw.second_of_day);
  if (raw.leap_seconds != kLeapUnknown) {
    p.leap_seconds = raw.leap_seconds;
  }
  for (const auto& a : raw.announcements) {
    p.announcements.push_back(
        {a.message, a.synchronous, a.interval / kPerIntervalSecond});
  }
  return p;
}

Result<RawSystemParameters> to_raw(const SystemParameters& parameters) {
  Fitter fit;
  RawSystemParameters raw;
  fit.whole(raw.station_id, "station id", parameters.station_id, kMaxStationId);
  fit.whole(raw.mjd, "MJD", parameters.mjd, kMaxMjd);
  fit.whole(raw.second_of_day,
            "second of day",
            parameters.second_of_day,
            kMaxSecondOfDay);
  raw.leap_seconds = kLeapUnknown;
  if (parameters.leap_seconds) {
    fit.whole(raw.leap_seconds,
              "leap seconds",
              *parameters.leap_seconds,
              kLeapUnknown - 1);
  }
  fit.at_most("list of announcements",
              parameters.announcements.size(),
              kMaxAnnouncements,
              "messages");
  for (const auto& a : parameters.announcements) {
    auto& to = raw.announcements.emplace_back();
    fit.whole(to.message, "message number", a.message, 4095);
    to.synchronous = a.synchronous;
    to.interval = static_cast<std::uint16_t>(
        fit.scaled("interval", a.interval_s, kPerIntervalSecond, 0, 65535));
  }
  return fit.result(std::move(raw));
}

TextMessage to_text_message(const RawText& raw) {
  return {raw.station_id,
          raw.mjd,
          static_cast<int>(raw.second_of_day),
          raw.bytes,
          safe_text(raw.bytes)};
}

Result<RawText> to_raw(const TextMessage& message) {
  const auto characters = utf8_length(message.bytes);
  if (!characters) {
    return fail(ErrorCode::kBadFormat, "the text is not UTF-8");
  }
  Fitter fit;
  RawText raw;
  fit.whole(raw.station_id, "station id", message.station_id, kMaxStationId);
  fit.whole(raw.mjd, "MJD", message.mjd, kMaxMjd);
  fit.whole(raw.second_of_day,
            "second of day",
            message.second_of_day,
            kMaxSecondOfDay);
  fit.at_most("text", message.bytes.size(), kMaxTextBytes, "bytes");
  fit.at_most("text", *characters, kMaxCharacters, "characters");
  raw.characters = static_cast<std::uint8_t>(*characters & 0x7FU);
  raw.bytes = message.bytes;
  return fit.result(std::move(raw));
}

GlonassBiases to_glonass_biases(const RawGlonassBiases& raw) {
  GlonassBiases b;
  b.station_id = raw.station_id;
  b.aligned = raw.aligned;
  for (std::size_t i = 0; i < raw.bias.size(); ++i) {
    if ((raw.mask & (8U >> i)) != 0 && raw.bias[i] != kBiasUnknown) {
      b.bias_m[i] = raw.bias[i] / kBiasPerMetre;
    }
  }
  return b;
}

Result<RawGlonassBiases> to_raw(const GlonassBiases& biases) {
  Fitter fit;
  RawGlonassBiases raw;
  fit.whole(raw.station_id, "station id", biases.station_id, kMaxStationId);
  raw.aligned = biases.aligned;
  for (std::size_t i = 0; i < raw.bias.size(); ++i) {
    if (biases.bias_m[i]) {
      raw.mask = static_cast<std::uint8_t>(raw.mask | (8U >> i));
      raw.bias[i] = static_cast<std::int16_t>(
          fit.scaled("bias", *biases.bias_m[i], kBiasPerMetre, -32767, 32767));
    }
  }
  return fit.result(std::move(raw));
}

}  // namespace stillpoint::rtcm
