#include <algorithm>
#include <cmath>
#include <numbers>

#include "stillpoint/core/text.h"
#include "stillpoint/products/antex_parser.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxAntennas = 100'000;
constexpr std::size_t kLabel = 60;

}  // namespace

bool AntexReader::wanted(const AntennaPattern& antenna) const {
  if (antenna.satellite) {
    return options_.satellites;
  }
  if (!options_.receiver_types) {
    return true;
  }
  const auto& types = *options_.receiver_types;
  return std::any_of(types.begin(), types.end(), [&](const std::string& type) {
    return trim_right(type) == antenna.type;
  });
}

Status AntexReader::skip_antenna() {
  Line line;
  do {
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "START OF ANTENNA") {
      return bad("an antenna begins inside another");
    }
  } while (line.label != "END OF ANTENNA");
  return ok();
}

Status AntexReader::take_type(const Line& line, AntennaPattern& antenna) {
  antenna.type = trim_right(columns(line.text, 0, 20));
  antenna.serial = column(line.text, 20, 40);
  antenna.svn = column(line.text, 40, 50);
  antenna.cospar = column(line.text, 50, kLabel);
  if (antenna.type.empty()) {
    return bad("the antenna has no type");
  }
  if (antenna.serial.size() == 3 && !antenna.svn.empty()) {
    antenna.satellite = parse_satellite(antenna.serial);
  }
  typed_ = true;
  return ok();
}

Status AntexReader::take_validity(const Line& line,
                                  std::optional<GnssTime>& into) {
  const auto year = to_integer(column(line.text, 0, 6));
  const auto month = to_integer(column(line.text, 6, 12));
  const auto day = to_integer(column(line.text, 12, 18));
  const auto hour = to_integer(column(line.text, 18, 24));
  const auto minute = to_integer(column(line.text, 24, 30));
  const auto second = to_number(column(line.text, 30, 43));
  if (!year || !month || !day || !hour || !minute || !second) {
    return bad("the validity does not hold a date and a time");
  }
  const auto time = from_calendar(
      Calendar{*year, *month, *day, *hour, *minute, *second}, TimeScale::kGps);
  if (!time) {
    return bad("the validity is no date: " + time.error().what);
  }
  into = *time;
  return ok();
}

Status AntexReader::take_antenna_line(const Line& line,
                                      AntennaPattern& antenna) {
  if (line.label == "METH / BY / # / DATE") {
    antenna.method = column(line.text, 0, 20);
    antenna.agency = column(line.text, 20, 40);
    antenna.calibrated = to_integer(column(line.text, 40, 46)).value_or(0);
    antenna.date = column(line.text, 50, kLabel);
    return ok();
  }
  if (line.label == "DAZI") {
    return take_azimuth(line, antenna);
  }
  if (line.label == "ZEN1 / ZEN2 / DZEN") {
    return take_zenith(line, antenna);
  }
  if (line.label == "# OF FREQUENCIES") {
    return ok();  // files that were cut down by hand keep the old number
  }
  if (line.label == "VALID FROM") {
    return take_validity(line, antenna.valid_from);
  }
  if (line.label == "VALID UNTIL") {
    return take_validity(line, antenna.valid_until);
  }
  if (line.label == "SINEX CODE") {
    antenna.sinex_code = column(line.text, 0, 10);
    return ok();
  }
  if (line.label == "COMMENT") {
    if (auto counted = count_comment(); !counted) {
      return counted;
    }
    antenna.comments.emplace_back(trim_right(columns(line.text, 0, kLabel)));
    return ok();
  }
  if (line.label == "START OF FREQUENCY") {
    return read_frequency(column(line.text, 3, 6), antenna);
  }
  if (line.label == "START OF FREQ RMS") {
    return skip_rms();
  }
  return bad("a line of no kind that antennas have");
}

Status AntexReader::read_antenna() {
  AntennaPattern antenna;
  zeniths_ = azimuths_ = 0;
  azimuth_step_deg_ = 0;
  typed_ = false;
  for (;;) {
    Line line;
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "TYPE / SERIAL NO" && !typed_) {
      if (auto taken = take_type(line, antenna); !taken) {
        return taken;
      }
      if (!wanted(antenna)) {
        return skip_antenna();
      }
      continue;
    }
    if (line.label == "END OF ANTENNA") {
      break;
    }
    if (!typed_ && line.label != "COMMENT") {
      return bad("an antenna that does not begin with its type");
    }
    if (auto taken = take_antenna_line(line, antenna); !taken) {
      return taken;
    }
  }
  if (!typed_ || zeniths_ == 0) {
    return bad("the antenna has no type or no grid");
  }
  const auto& at = options_.satellites_at;
  const bool in_use = !antenna.satellite || !at ||
                      ((!antenna.valid_from || *antenna.valid_from <= *at) &&
                       (!antenna.valid_until || *at <= *antenna.valid_until));
  if (in_use) {
    if (product_.antennas.size() >= kMaxAntennas) {
      return fail(ErrorCode::kTooLarge,
                  "more than " + std::to_string(kMaxAntennas) + " antennas",
                  lines_.where());
    }
    product_.antennas.push_back(std::move(antenna));
  }
  return ok();
}

}  // namespace stillpoint::products
