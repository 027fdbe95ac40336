#include "stillpoint/products/sinex_blocks.h"

#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::string_view kBadSpan =
    "the row does not hold two instants, the second not before the first";
constexpr double kRadPerDeg = std::numbers::pi / 180;
constexpr double kYearS = 365.25 * 86'400;
constexpr unsigned kAllThree = 7;

std::string_view serial_of(std::string_view text) {
  return text == "-----" ? std::string_view() : text;
}

std::string key_of(std::string_view site, std::string_view point) {
  std::string key(site);
  key += '/';
  key += point;
  return key;
}

std::string key_of(const SiteSpan& at) {
  std::string key = key_of(at.site, at.point);
  key += '/';
  key += at.solution;
  return key;
}

// "-19  1  5.9" in three fields; a sign holds for all of them.
std::optional<double> to_angle_rad(std::string_view degrees,
                                   std::string_view minutes,
                                   std::string_view seconds) {
  const bool negative = degrees.starts_with('-');
  const auto d = to_integer(negative ? degrees.substr(1) : degrees);
  const auto m = to_integer(minutes);
  const auto s = to_number(seconds);
  if (!d || !m || !s || *d < 0 || *d > 360 || *m < 0 || *m > 60 || *s < 0 ||
      *s > 60) {
    return std::nullopt;
  }
  const double angle_rad = (*d + *m / 60.0 + *s / 3600.0) * kRadPerDeg;
  return negative ? -angle_rad : angle_rad;
}

double& component(Ecef& of, unsigned axis) {
  return axis == 0 ? of.x_m : axis == 1 ? of.y_m : of.z_m;
}

// What a parameter is: "STAX" to "STAZ", "VELX" to "VELZ".
struct Parameter {
  unsigned axis = 0;
  bool velocity = false;
};

std::optional<Parameter> to_parameter(std::string_view type) {
  if (type.size() != 4 || type[3] < 'X' || type[3] > 'Z') {
    return std::nullopt;
  }
  const bool velocity = type.starts_with("VEL");
  if (!velocity && !type.starts_with("STA")) {
    return std::nullopt;
  }
  return Parameter{static_cast<unsigned>(type[3] - 'X'), velocity};
}

}  // namespace

std::string_view SinexSites::take_identity(SinexLine line) {
  SiteIdentity row;
  row.site = line.text(1, 5);
  row.point = line.text(6, 8);
  row.domes = line.text(9, 18);
  row.description = line.text(21, 43);
  if (row.site.empty()) {
    return "the row names no site";
  }
  const auto lon_rad =
      to_angle_rad(line.text(44, 47), line.text(48, 50), line.text(51, 55));
  const auto lat_rad =
      to_angle_rad(line.text(56, 59), line.text(60, 62), line.text(63, 67));
  const auto height_m = to_number(line.text(68, 75));
  if (lon_rad && lat_rad && height_m &&
      std::abs(*lat_rad) <= std::numbers::pi / 2) {
    row.approximate = Geodetic{*lat_rad, *lon_rad, *height_m};
  }
  identities_.push_back(std::move(row));
  return {};
}

std::string_view SinexSites::take_receiver(SinexLine line) {
  SiteReceiver row;
  line.site(row.at);
  if (!line.span(16, row.at.from, row.at.until)) {
    return kBadSpan;
  }
  row.type = line.text(42, 62);
  row.serial = serial_of(line.text(63, 68));
  row.firmware = line.text(69, 80);
  receivers_.push_back(std::move(row));
  return {};
}

std::string_view SinexSites::take_antenna(SinexLine line) {
  SiteAntenna row;
  line.site(row.at);
  if (!line.span(16, row.at.from, row.at.until)) {
    return kBadSpan;
  }
  row.type = line.left(42, 62);
  row.serial = serial_of(line.text(63, 68));
  const std::string_view turned = line.text(69, 73);
  if (!turned.empty() && turned != "----") {
    const auto turned_deg = to_number(turned);
    if (!turned_deg) {
      return "the direction of the antenna's north mark is not a number";
    }
    row.north_mark_rad = *turned_deg * kRadPerDeg;
  }
  antennas_.push_back(std::move(row));
  return {};
}

std::string_view SinexSites::take_eccentricity(SinexLine line) {
  SiteEccentricity row;
  line.site(row.at);
  if (!line.span(16, row.at.from, row.at.until)) {
    return kBadSpan;
  }
  const std::string_view axes = line.text(42, 45);
  if (axes != "UNE" && axes != "XYZ") {
    return "the axes of the eccentricity are neither UNE nor XYZ";
  }
  row.given_as_xyz = axes == "XYZ";
  const auto first = to_number(line.text(46, 54));
  const auto second = to_number(line.text(55, 63));
  const auto third = to_number(line.text(64, 72));
  if (!first || !second || !third) {
    return "the eccentricity does not have three numbers";
  }
  row.up_m = *first;
  row.north_m = *second;
  row.east_m = *third;
  eccentricities_.push_back(std::move(row));
  return {};
}

std::string_view SinexSites::take_epochs(SinexLine line) {
  SiteSpan row;
  line.site(row);
  if (!line.span(16, row.from, row.until)) {
    return kBadSpan;
  }
  std::string key = key_of(row);
  epochs_.emplace(std::move(key), std::move(row));
  return {};
}

std::string_view SinexSites::take_estimate(SinexLine line) {
  const auto parameter = to_parameter(line.text(7, 13));
  if (!parameter) {
    return {};
  }
  SiteSpan at;
  at.site = line.text(14, 18);
  at.point = line.text(19, 21);
  at.solution = line.text(22, 26);
  const auto epoch = line.instant(27);
  if (at.site.empty() || !epoch || !epoch->time) {
    return "the coordinate has no site or no instant";
  }
  if (line.text(40, 44) != (parameter->velocity ? "m/y" : "m")) {
    return "the unit of the coordinate is not m, or of the velocity not m/y";
  }
  const auto value = to_real(line.text(47, 68));
  const std::string_view printed_sigma = line.text(69, 80);
  const auto sigma = printed_sigma.empty() ? 0.0 : to_real(printed_sigma);
  // Far beyond any satellite; keeps what is computed of it finite.
  constexpr double kLargest = 1e9;
  if (!value || !sigma || std::abs(*value) > kLargest || *sigma < 0 ||
      *sigma > kLargest) {
    return "the coordinate or its sigma is not a number, or beyond any sense";
  }
  std::string key = key_of(at);
  key += '/';
  key += std::to_string(epoch->time->ns());
  const auto [found, is_new] =
      gathered_at_.try_emplace(std::move(key), gathered_.size());
  if (is_new) {
    gathered_.emplace_back();
    gathered_.back().row.at = std::move(at);
    gathered_.back().row.epoch = *epoch->time;
  }
  Gathered& into = gathered_[found->second];
  unsigned& seen = parameter->velocity ? into.velocity : into.position;
  const unsigned bit = 1U << parameter->axis;
  if ((seen & bit) != 0) {
    return "the same coordinate a second time";
  }
  seen |= bit;
  const double unit = parameter->velocity ? 1 / kYearS : 1;
  component(parameter->velocity ? into.velocity_mps : into.row.position_m,
            parameter->axis) = *value * unit;
  component(parameter->velocity ? into.velocity_sigma_mps : into.row.sigma_m,
            parameter->axis) = *sigma * unit;
  return {};
}

void SinexSites::finish_coordinates(SinexProduct& product) {
  for (Gathered& from : gathered_) {
    if (from.position != kAllThree) {
      ++product.records_left_out;
      continue;
    }
    if (from.velocity == kAllThree) {
      from.row.velocity_mps = from.velocity_mps;
      from.row.velocity_sigma_mps = from.velocity_sigma_mps;
    }
    if (const auto told = epochs_.find(key_of(from.row.at));
        told != epochs_.end()) {
      from.row.at.from = told->second.from;
      from.row.at.until = told->second.until;
    }
    product.coordinates.push_back(std::move(from.row));
  }
}

void SinexSites::finish_eccentricities(SinexProduct& product) {
  // Where the sites are: the first coordinate of each, else the approximate
  // place. A direction to some arc seconds is right to a micrometre here.
  std::unordered_map<std::string, Geodetic> places;
  constexpr double kNearCentreM = 1e6;  // no direction of up there
  for (const SiteCoordinate& row : product.coordinates) {
    if (norm(row.position_m) > kNearCentreM) {
      places.emplace(key_of(row.at.site, row.at.point),
                     to_geodetic(row.position_m));
    }
  }
  for (const SiteIdentity& row : identities_) {
    if (row.approximate) {
      places.emplace(key_of(row.site, row.point), *row.approximate);
    }
  }
  for (SiteEccentricity& row : eccentricities_) {
    if (row.given_as_xyz) {
      const auto place = places.find(key_of(row.at.site, row.at.point));
      if (place == places.end()) {
        ++product.records_left_out;
        continue;
      }
      const Enu turned = rotate(enu_R_ecef(place->second),
                                Ecef{row.up_m, row.north_m, row.east_m});
      row.up_m = turned.u_m;
      row.north_m = turned.n_m;
      row.east_m = turned.e_m;
    }
    product.eccentricities.push_back(std::move(row));
  }
}

void SinexSites::finish(SinexProduct& product) {
  finish_coordinates(product);
  finish_eccentricities(product);
  product.sites = std::move(identities_);
  product.receivers = std::move(receivers_);
  product.antennas = std::move(antennas_);
}

}  // namespace stillpoint::products
