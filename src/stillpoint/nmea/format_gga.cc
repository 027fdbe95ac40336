#include "stillpoint/nmea/format_gga.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <numbers>

namespace stillpoint::nmea {
namespace {

constexpr std::size_t kMaxLength = 82;
constexpr int kMostDecimals = 7, kFewestDecimals = 1;
constexpr double kMaxDop = 99.9;
constexpr double kPi = std::numbers::pi;

std::string text(const char* format, double value) {
  std::array<char, 32> out{};
  std::snprintf(out.data(), out.size(), format, value);
  return out.data();
}

std::string padded(std::int64_t value, std::size_t digits) {
  const std::string plain = std::to_string(value);
  return plain.size() < digits ? std::string(digits - plain.size(), '0') + plain
                               : plain;
}

// "hhmmss.ss". A time that rounds to midnight is the next day's first, except
// inside a leap second.
std::string time_text(double utc_s) {
  constexpr std::int64_t kDay = 86'400'00;
  std::int64_t hundredths = std::llround(utc_s * 100);
  std::int64_t minutes = hundredths / 6000;
  if (utc_s >= 86'400) {
    minutes = 24 * 60 - 1;
    hundredths = hundredths < kDay + 100 ? hundredths : kDay + 99;
  } else if (hundredths == kDay) {
    hundredths = minutes = 0;
  }
  const std::int64_t rest = hundredths - minutes * 6000;
  return padded(minutes / 60, 2) + padded(minutes % 60, 2) +
         padded(rest / 100, 2) + "." + padded(rest % 100, 2);
}

// "ddmm.mmm,N": degrees in `digits` places.
std::string angle_text(double rad,
                       std::size_t digits,
                       int decimals,
                       std::string_view halves) {
  std::int64_t unit = 1;  // of a minute
  for (int k = 0; k < decimals; ++k) {
    unit *= 10;
  }
  const std::int64_t all =
      std::llround(std::abs(rad) * 180 / kPi * 60 * static_cast<double>(unit));
  const std::int64_t degrees = all / (60 * unit);
  const std::int64_t minutes = all / unit % 60;
  return padded(degrees, digits) + padded(minutes, 2) + "." +
         padded(all % unit, static_cast<std::size_t>(decimals)) + "," +
         halves[rad < 0 ? 1 : 0];
}

std::string body(const Gga& g, std::string_view talker, int decimals) {
  std::string out = std::string(talker) + "GGA,";
  out += g.utc_s ? time_text(*g.utc_s) : "";
  out += ",";
  out += g.lat_rad ? angle_text(*g.lat_rad, 2, decimals, "NS") : ",";
  out += ",";
  out += g.lon_rad ? angle_text(*g.lon_rad, 3, decimals, "EW") : ",";
  out += ",";
  out += g.quality ? std::to_string(static_cast<int>(*g.quality)) : "";
  out += ",";
  out += g.satellites ? padded(*g.satellites, 2) : "";
  out += ",";
  out += g.hdop ? text("%.1f", std::min(*g.hdop, kMaxDop)) : "";
  out += ",";
  out += g.altitude_m ? text("%.2f,M", *g.altitude_m) : ",";
  out += ",";
  out += g.geoid_separation_m ? text("%.2f,M", *g.geoid_separation_m) : ",";
  out += ",";
  out += g.correction_age_s ? text("%.1f", *g.correction_age_s) : "";
  out += ",";
  out += g.reference_id ? padded(*g.reference_id, 4) : "";
  return out;
}

template <class T>
bool within(const std::optional<T>& value, double low, double high) {
  const double number = value ? static_cast<double>(*value) : low;
  return number >= low && number <= high;  // false for NaN
}

bool can_be_said(const Gga& g) {
  return (!g.utc_s || (*g.utc_s >= 0 && *g.utc_s < 86'401)) &&
         within(g.lat_rad, -kPi / 2, kPi / 2) && within(g.lon_rad, -kPi, kPi) &&
         within(g.quality, 0, 9) && within(g.satellites, 0, 99) &&
         (!g.hdop || *g.hdop >= 0) && within(g.altitude_m, -9999, 9999) &&
         within(g.geoid_separation_m, -999, 999) &&
         within(g.correction_age_s, 0, 999) && within(g.reference_id, 0, 9999);
}

}  // namespace

Result<std::string> format_gga(const Gga& gga, std::string_view talker) {
  const bool capitals = talker.size() == 2 && talker[0] >= 'A' &&
                        talker[0] <= 'Z' && talker[1] >= 'A' &&
                        talker[1] <= 'Z' && talker[0] != 'P';
  if (!capitals || !can_be_said(gga)) {
    return fail(ErrorCode::kOutOfRange, "a value that GGA cannot say");
  }
  std::string sentence;
  for (int decimals = kMostDecimals; decimals >= kFewestDecimals; --decimals) {
    sentence = frame_sentence(body(gga, talker, decimals));
    if (sentence.size() <= kMaxLength) {
      break;
    }
  }
  return sentence;
}

}  // namespace stillpoint::nmea
