#include "stillpoint/datum/national_frames.h"

#include <algorithm>
#include <numbers>

#include "stillpoint/core/check.h"
#include "stillpoint/datum/plate_motion.h"
#include "stillpoint/time/scales.h"

namespace stillpoint {
namespace {

constexpr double kRadPerMas = std::numbers::pi / (180.0 * 3600.0 * 1000.0);
constexpr double kMPerMm = 1e-3;
constexpr double kPerPpb = 1e-9;
constexpr RotationSense kPv = RotationSense::kPositionVector;
constexpr RotationSense kCf = RotationSense::kCoordinateFrame;

// A row: from, to, EPSG code, sense, epoch; T [mm], R [mas], D [ppb]; the
// rates. source: EPSG dataset v13.101 (IOGP), by code
constexpr std::array kSets{
    // IERS
    ParameterSet{{"ITRF2014", "ITRF2020", 9991, kPv, 2015.0},
                 {{1.4, 0.9, -1.4}, {}, 0.42},
                 {{0, 0.1, -0.2}, {}, 0}},
    ParameterSet{{"ITRF2008", "ITRF2020", 9992, kPv, 2015.0},
                 {{-0.2, -1.0, -3.3}, {}, 0.29},
                 {{0, 0.1, -0.1}, {}, -0.03}},
    ParameterSet{{"ITRF2005", "ITRF2020", 9993, kPv, 2015.0},
                 {{-2.7, -0.1, 1.4}, {}, -0.65},
                 {{-0.3, 0.1, -0.1}, {}, -0.03}},
    ParameterSet{{"ITRF2000", "ITRF2020", 9994, kPv, 2015.0},
                 {{0.2, -0.8, 34.2}, {}, -2.25},
                 {{-0.1, 0, 1.7}, {}, -0.11}},
    // EUREF
    ParameterSet{{"ITRF2020", "ETRF2000", 10586, kPv, 2015.0},
                 {{53.8, 51.8, -82.2}, {2.106, 12.740, -20.592}, 2.25},
                 {{0.1, 0, -1.7}, {0.081, 0.490, -0.792}, 0.11}},
    ParameterSet{{"ITRF2014", "ETRF2000", 8405, kPv, 2010.0},
                 {{54.7, 52.2, -74.1}, {1.701, 10.290, -16.632}, 2.12},
                 {{0.1, 0.1, -1.9}, {0.081, 0.490, -0.792}, 0.11}},
    ParameterSet{{"ITRF2020", "ETRF2014", 10587, kPv, 2015.0},
                 {{-1.4, -0.9, 1.4}, {2.210, 13.806, -20.020}, -0.42},
                 {{0, -0.1, 0.2}, {0.085, 0.531, -0.770}, 0}},
    ParameterSet{{"ITRF2014", "ETRF2014", 8880, kPv, 2010.0},
                 {{}, {1.785, 11.151, -16.170}, 0},
                 {{}, {0.085, 0.531, -0.770}, 0}},
    ParameterSet{{"ITRF2020", "ETRF2020", 10573, kPv, 2015.0},
                 {{}, {2.236, 13.494, -19.578}, 0},
                 {{}, {0.086, 0.519, -0.753}, 0}},
    // United States
    ParameterSet{
        {"ITRF2020", "NAD83(2011)", 10334, kCf, 2010.0},
        {{1003.90, -1909.61, -541.17},
         {26.78138, -0.42027, 10.93206},
         -0.05109},
        {{0.79, -0.70, -1.24}, {0.06667, -0.75744, -0.05133}, -0.07201}},
    ParameterSet{
        {"ITRF2014", "NAD83(2011)", 8970, kCf, 2010.0},
        {{1005.30, -1909.21, -541.57}, {26.78138, -0.42027, 10.93206}, 0.36891},
        {{0.79, -0.60, -1.44}, {0.06667, -0.75744, -0.05133}, -0.07201}},
    ParameterSet{{"ITRF2020", "NAD83(PA11)", 10336, kCf, 2010.0},
                 {{909.5, -2013.3, -585.9}, {22.749, 26.560, -25.706}, 1.70},
                 {{0.1, 0, -1.7}, {-0.384, 1.007, -2.186}, 0.11}},
    ParameterSet{{"ITRF2014", "NAD83(PA11)", 10335, kCf, 2010.0},
                 {{910.9, -2012.9, -586.3}, {22.749, 26.560, -25.706}, 2.12},
                 {{0.1, 0.1, -1.9}, {-0.384, 1.007, -2.186}, 0.11}},
    ParameterSet{{"ITRF2020", "NAD83(MA11)", 10338, kCf, 2010.0},
                 {{909.5, -2013.3, -585.9}, {28.711, 11.785, 4.417}, 1.70},
                 {{0.1, 0, -1.7}, {-0.020, 0.105, -0.347}, 0.11}},
    ParameterSet{{"ITRF2014", "NAD83(MA11)", 10337, kCf, 2010.0},
                 {{910.9, -2012.9, -586.3}, {28.711, 11.785, 4.417}, 2.12},
                 {{0.1, 0.1, -1.9}, {-0.020, 0.105, -0.347}, 0.11}},
    ParameterSet{{"ITRF2020", "NATRF2022", 11485, kCf, 2020.0},
                 {},
                 {{}, {0.046, -0.704, -0.047}, 0}},
    // Canada
    ParameterSet{
        {"ITRF2020", "NAD83(CSRS)", 10415, kPv, 2010.0},
        {{1003.90, -1909.61, -541.17},
         {-26.78138, 0.42027, -10.93206},
         -0.05109},
        {{0.79, -0.70, -1.24}, {-0.06667, 0.75744, 0.05133}, -0.07201}},
    ParameterSet{
        {"ITRF2014", "NAD83(CSRS)", 8265, kPv, 2010.0},
        {{1005.30, -1909.21, -541.57},
         {-26.78138, 0.42027, -10.93206},
         0.36891},
        {{0.79, -0.60, -1.44}, {-0.06667, 0.75744, 0.05133}, -0.07201}},
    // Australia
    ParameterSet{{"ITRF2014", "GDA2020", 8049, kCf, 2020.0},
                 {},
                 {{}, {1.50379, 1.18346, 1.20716}, 0}},
    ParameterSet{{"ITRF2014", "GDA94", 9682, kCf, 2020.0},
                 {{-61.55, 10.87, 40.19}, {39.4924, 32.7221, 32.8979}, 9.994},
                 {{}, {1.50379, 1.18346, 1.20716}, 0}},
};

// source: issuers and codes, EPSG dataset v13.101; the usual epochs 2010.0 and
// 2020.0: from memory
constexpr std::array kFrames{
    NationalFrame{"ETRF2000 (ETRS89)", "ETRF2000", "EUREF, EPSG:8405, 10586"},
    NationalFrame{"ETRF2014 (ETRS89)", "ETRF2014", "EUREF, EPSG:8880, 10587"},
    NationalFrame{"ETRF2020 (ETRS89)", "ETRF2020", "EUREF, EPSG:10573"},
    NationalFrame{"NAD83(2011)",
                  "NAD83(2011)",
                  "US national survey, EPSG:8970, 10334",
                  2010.0},
    NationalFrame{"NAD83(CSRS)",
                  "NAD83(CSRS)",
                  "Canadian national survey, EPSG:8265, 10415",
                  2010.0},
    NationalFrame{
        "NAD83(PA11)", "NAD83(PA11)", "US national survey, EPSG:10335, 10336"},
    NationalFrame{
        "NAD83(MA11)", "NAD83(MA11)", "US national survey, EPSG:10337, 10338"},
    NationalFrame{
        "NATRF2022", "NATRF2022", "US national survey, EPSG:11485", 2020.0},
    NationalFrame{"GDA2020", "GDA2020", "Australian survey, EPSG:8049"},
    NationalFrame{"GDA94", "GDA94", "Australian survey, EPSG:9682"},
};

// A rough box, longitudes of one sign, and the plates that a station in it may
// move with; two in the zone between them.
struct Region {
  double south_deg, north_deg, west_deg, east_deg;
  std::string_view plate, other_plate;   // of the ITRF2020 model
  std::array<std::string_view, 3> keys;  // of the frames in use
};

// common practice, no source: boxes drawn by hand around the countries
constexpr std::array kRegions{
    // Europe with Svalbard
    Region{
        34, 82, -25, 45, "EURA", "EURA", {"ETRF2000", "ETRF2014", "ETRF2020"}},
    // United States: the west, the rest, Alaska; Puerto Rico
    Region{31, 49.5, -126, -114, "NOAM", "PCFC", {"NAD83(2011)", "NATRF2022"}},
    Region{24, 49.5, -114, -66, "NOAM", "NOAM", {"NAD83(2011)", "NATRF2022"}},
    Region{51, 72, -180, -129, "NOAM", "PCFC", {"NAD83(2011)", "NATRF2022"}},
    Region{17, 19.5, -68.5, -64, "NOAM", "CARB", {"NAD83(2011)"}},
    // Canada: north of 49 degrees, the south-east
    Region{49, 84, -141, -52, "NOAM", "NOAM", {"NAD83(CSRS)", "NATRF2022"}},
    Region{41.6, 49, -83.2, -52, "NOAM", "NOAM", {"NAD83(CSRS)", "NATRF2022"}},
    // Hawaii and the islands to its west, Samoa; the Marianas
    Region{18, 29, -180, -154, "PCFC", "PCFC", {"NAD83(PA11)"}},
    Region{-15, -11, -172, -168, "PCFC", "PCFC", {"NAD83(PA11)"}},
    Region{13, 21, 144, 147, "PCFC", "PCFC", {"NAD83(MA11)"}},
    // Australia
    Region{-44, -9, 112, 155, "AUST", "AUST", {"GDA2020", "GDA94"}},
};

// A fit must be this many times nearer than the ITRF position; common practice,
// no source: half of it would still take an ITRF coordinate of 1994 for ETRS89.
constexpr double kTimesNearer = 4;
// Two frames give the same coordinates: below what a header prints.
constexpr double kSameCoordinatesM = 1e-4;

const ParameterSet* find_set(std::string_view from, std::string_view to) {
  const auto* const set =
      std::ranges::find_if(kSets, [&](const ParameterSet& s) {
        return s.head.from == from && s.head.to == to;
      });
  return set == kSets.end() ? nullptr : set;
}

// The set at `year`, forwards (1) or, for sets without rotation, back (-1): the
// second order of such a set is below 1e-10 m.
Ecef with_set(const ParameterSet& s, const Ecef& x, double year, double way) {
  const double dt = year - s.head.epoch_year;
  const bool position_vector = s.head.sense == RotationSense::kPositionVector;
  const double turn = way * kRadPerMas * (position_vector ? 1 : -1);
  std::array<double, 3> t{};
  std::array<double, 3> r{};
  for (std::size_t i = 0; i < 3; ++i) {
    t.at(i) = way * kMPerMm * (s.value.t_mm.at(i) + dt * s.per_year.t_mm.at(i));
    r.at(i) = turn * (s.value.r_mas.at(i) + dt * s.per_year.r_mas.at(i));
  }
  const double d = way * kPerPpb * (s.value.d_ppb + dt * s.per_year.d_ppb);
  return {x.x_m + t[0] + d * x.x_m - r[2] * x.y_m + r[1] * x.z_m,
          x.y_m + t[1] + d * x.y_m + r[2] * x.x_m - r[0] * x.z_m,
          x.z_m + t[2] + d * x.z_m - r[1] * x.x_m + r[0] * x.y_m};
}

bool in_region(const Region& region, const Geodetic& at) {
  constexpr double kDegPerRad = 180.0 / std::numbers::pi;
  const double lat_deg = at.lat_rad * kDegPerRad;
  const double lon_deg = at.lon_rad * kDegPerRad;
  return lat_deg >= region.south_deg && lat_deg <= region.north_deg &&
         lon_deg >= region.west_deg && lon_deg <= region.east_deg;
}

double distance_to_segment_m(const Ecef& p, const Ecef& a, const Ecef& b) {
  const Ecef way = b - a;
  const double length2_m2 = dot(way, way);
  const double share =
      length2_m2 > 0 ? std::clamp(dot(p - a, way) / length2_m2, 0.0, 1.0) : 0;
  return norm(p - (a + share * way));
}

// What is asked about: one claim and the position it is held against.
struct Claim {
  Ecef claimed, itrf_position;
  std::string_view itrf_name;
  GnssTime epoch;
};

// The position in the frame at its reference epoch, of a station that moves
// with the plate.
std::optional<Ecef> at_reference_epoch(const Claim& claim,
                                       const NationalFrame& frame,
                                       std::string_view plate_name) {
  const auto plate = find_plate(PlateModel::kItrf2020, plate_name);
  STILLPOINT_CHECK(plate.has_value());
  const GnssTime then = from_decimal_year(frame.reference_year);
  const Ecef moved = moved_by(claim.itrf_position,
                              velocity_m_per_year(*plate, claim.itrf_position),
                              years_between(claim.epoch, then));
  return in_national_frame(moved, claim.itrf_name, then, frame.key);
}

// Nothing where the ITRF's name is not known.
std::optional<double> distance_m(const Claim& claim,
                                 const NationalFrame& frame,
                                 const Region& region) {
  const auto now = in_national_frame(
      claim.itrf_position, claim.itrf_name, claim.epoch, frame.key);
  if (!now) {
    return std::nullopt;
  }
  const double now_m = norm(claim.claimed - *now);
  if (frame.reference_year == 0) {
    return now_m;
  }
  const auto one = at_reference_epoch(claim, frame, region.plate);
  const auto other = at_reference_epoch(claim, frame, region.other_plate);
  return std::min(now_m, distance_to_segment_m(claim.claimed, *one, *other));
}

// Keeps the nearer of two fits; joins those with the same coordinates.
void take(std::optional<FrameFit>& best, std::string_view name, double m) {
  if (!best || m < best->distance_m - kSameCoordinatesM) {
    best = FrameFit{std::string(name), m};
  } else if (m <= best->distance_m + kSameCoordinatesM &&
             best->name.find(name) == std::string::npos) {
    best->name.append(" or ").append(name);
  }
}

}  // namespace

std::span<const ParameterSet> parameter_sets() {
  return kSets;
}

Ecef transformed(const ParameterSet& set,
                 const Ecef& position,
                 GnssTime epoch) {
  return with_set(set, position, decimal_year(epoch), 1);
}

std::span<const NationalFrame> national_frames() {
  return kFrames;
}

std::optional<Ecef> in_national_frame(const Ecef& itrf_position,
                                      std::string_view itrf_name,
                                      GnssTime epoch,
                                      std::string_view frame_name) {
  const auto* const frame =
      std::ranges::find_if(kFrames, [&](const NationalFrame& f) {
        return f.name == frame_name || f.key == frame_name;
      });
  if (frame == kFrames.end()) {
    return std::nullopt;
  }
  if (const ParameterSet* set = find_set(itrf_name, frame->key)) {
    return transformed(*set, itrf_position, epoch);
  }
  Ecef itrf2020 = itrf_position;
  if (itrf_name != "ITRF2020") {
    const ParameterSet* set = find_set(itrf_name, "ITRF2020");
    if (set == nullptr) {
      return std::nullopt;
    }
    itrf2020 = transformed(*set, itrf_position, epoch);
  }
  if (const ParameterSet* set = find_set("ITRF2020", frame->key)) {
    return transformed(*set, itrf2020, epoch);
  }
  const ParameterSet* last = find_set("ITRF2014", frame->key);
  STILLPOINT_CHECK(last != nullptr);
  const Ecef itrf2014 = with_set(
      *find_set("ITRF2014", "ITRF2020"), itrf2020, decimal_year(epoch), -1);
  return transformed(*last, itrf2014, epoch);
}

std::optional<FrameFit> national_frame_that_fits(const Ecef& claimed,
                                                 const Ecef& itrf_position,
                                                 std::string_view itrf_name,
                                                 GnssTime epoch,
                                                 double max_distance_m) {
  const Claim claim{claimed, itrf_position, itrf_name, epoch};
  const Geodetic place = to_geodetic(itrf_position);
  const double limit_m =
      std::min(max_distance_m, norm(claimed - itrf_position) / kTimesNearer);
  std::optional<FrameFit> best;
  for (const NationalFrame& frame : kFrames) {
    for (const Region& region : kRegions) {
      if (!in_region(region, place) ||
          std::ranges::find(region.keys, frame.key) == region.keys.end()) {
        continue;
      }
      const auto m = distance_m(claim, frame, region);
      if (m && *m < limit_m) {
        take(best, frame.name, *m);
      }
    }
  }
  return best;
}

}  // namespace stillpoint
