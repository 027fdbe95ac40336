#include "stillpoint/simulate/scenario/receiver_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "stillpoint/simulate/sky/constellation.h"

namespace stillpoint::simulate {
namespace {

constexpr std::array<KeyRule, 35> kReceiver{{
    {"name", true, "name = \"LHOL00XXX\""},
    {"type", false, "type = \"SPDEMO-R1\""},
    {"serial", false, "serial = \"0001\""},
    {"firmware", false, "firmware = \"1.0\""},
    {"antenna", false, "antenna = \"SPDEMO-A1       NONE\""},
    {"antenna_serial", false, "antenna_serial = \"0001\""},
    {"latitude_deg", false, "latitude_deg = 47.3"},
    {"longitude_deg", false, "longitude_deg = 8.9"},
    {"height_m", false, "height_m = 512.0"},
    {"from", false, "from = \"LHOL00XXX\""},
    {"east_m", false, "east_m = 8000"},
    {"north_m", false, "north_m = -6000"},
    {"up_m", false, "up_m = 15"},
    {"antenna_height_m", false, "antenna_height_m = 0.1"},
    {"antenna_east_m", false, "antenna_east_m = 0.0"},
    {"antenna_north_m", false, "antenna_north_m = 0.0"},
    {"interval_s", false, "interval_s = 30"},
    {"signals", false, "signals = [\"G1C\", \"G2L\", \"E1C\", \"E5Q\"]"},
    {"zenith_dbhz", false, "zenith_dbhz = 50"},
    {"least_dbhz", false, "least_dbhz = 25"},
    {"mask_deg", false, "mask_deg = 0"},
    {"clock", false, "clock = \"steered\""},
    {"clock_offset_ms", false, "clock_offset_ms = 0"},
    {"clock_drift_ppm", false, "clock_drift_ppm = 0.1"},
    {"slips_per_hour", false, "slips_per_hour = 0.02"},
    {"unflagged_slips", false, "unflagged_slips = 0.1"},
    {"half_cycle_s", false, "half_cycle_s = 6"},
    {"skyline_deg", false, "skyline_deg = [[0, 5], [90, 12], [270, 3]]"},
    {"reflector", false, "[[receiver.reflector]]"},
    {"loading", false, "[receiver.loading]"},
    {"move", false, "[[receiver.move]]"},
    {"waypoint", false, "[[receiver.waypoint]]"},
    {"slip", false, "[[receiver.slip]]"},
    {"gap", false, "[[receiver.gap]]"},
    {"about", false, "about = \"what it is\""},
}};
constexpr std::array<KeyRule, 10> kReflector{{
    {"name", true, "name = \"grain bin\""},
    {"normal_azimuth_deg", false, "normal_azimuth_deg = 225"},
    {"normal_elevation_deg", false, "normal_elevation_deg = 0"},
    {"distance_m", true, "distance_m = 4.5"},
    {"azimuth_from_deg", false, "azimuth_from_deg = 20"},
    {"azimuth_to_deg", false, "azimuth_to_deg = 70"},
    {"lowest_deg", false, "lowest_deg = -30"},
    {"highest_deg", false, "highest_deg = 25"},
    {"coefficient", true, "coefficient = 0.3"},
    {"phase_deg", false, "phase_deg = 180"},
}};
constexpr std::array<KeyRule, 6> kLoading{{
    {"up_mm", true, "up_mm = [5, 2, 1, 0.5, 2, 1, 0.6, 0.2, 0.1, 0, 0]"},
    {"up_deg", true, "up_deg = [-70, -40, -90, 0, 80, 60, 80, 70, 0, 0, 0]"},
    {"west_mm", true, "west_mm = [1, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0]"},
    {"west_deg", true, "west_deg = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]"},
    {"south_mm", true, "south_mm = [1, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0]"},
    {"south_deg", true, "south_deg = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]"},
}};
constexpr std::array<KeyRule, 5> kMove{{
    {"at", true, "at = 2026-06-03T07:14:00"},
    {"over_s", false, "over_s = 0"},
    {"east_mm", false, "east_mm = 14"},
    {"north_mm", false, "north_mm = -9"},
    {"up_mm", false, "up_mm = -7"},
}};
constexpr std::array<KeyRule, 4> kWaypoint{{
    {"at", true, "at = 2026-06-03T07:14:00"},
    {"east_m", true, "east_m = 120"},
    {"north_m", true, "north_m = 40"},
    {"up_m", false, "up_m = 0"},
}};
constexpr std::array<KeyRule, 4> kSlip{{
    {"at", true, "at = 2026-06-03T07:14:00"},
    {"satellite", true, "satellite = \"G07\""},
    {"band", false, "band = \"1\""},
    {"cycles", true, "cycles = 1"},
}};
constexpr std::array<KeyRule, 2> kSpan{{
    {"from", true, "from = 2026-06-03T07:14:00"},
    {"to", true, "to = 2026-06-03T07:20:00"},
}};
constexpr std::array<std::string_view, 3> kClocks{
    "quartz", "millisecond", "steered"};
constexpr double kKilometre = 1000;

template <class Event>
bool ascends(const std::vector<Event>& events) {
  return std::ranges::is_sorted(events, {}, &Event::at_s);
}

// What a receiver of this world tracks when nobody says.
constexpr std::array<std::string_view, 14> kUsualSignals{"G1C",
                                                         "G2L",
                                                         "G5Q",
                                                         "R1C",
                                                         "R2C",
                                                         "E1C",
                                                         "E5Q",
                                                         "E7Q",
                                                         "C2I",
                                                         "C6I",
                                                         "C5P",
                                                         "J1C",
                                                         "J2L",
                                                         "J5Q"};

bool add_signal(std::string_view text, ReceiverScenario& r) {
  if (text.size() != 3) {
    return false;
  }
  const auto system = system_from_letter(text[0]);
  const SignalCode signal{text[1], text[2]};
  if (!system) {
    return false;
  }
  const std::vector<SignalCode> sent = sent_signals(*system);
  if (std::ranges::find(sent, signal) == sent.end()) {
    return false;
  }
  std::vector<SignalCode>& list = r.signals[static_cast<std::size_t>(*system)];
  if (std::ranges::find(list, signal) == list.end()) {
    list.push_back(signal);
  }
  return true;
}

void read_signals(ScenarioTable& t, ReceiverScenario& r) {
  std::vector<std::string> names(kUsualSignals.begin(), kUsualSignals.end());
  t.texts("signals", names);
  for (const std::string& name : names) {
    if (!add_signal(name, r)) {
      t.reader().wrong_value(
          "signals",
          fmt::format("'{}' is no signal of this world", name),
          "give systems and signals as docs/formats/scenario.md lists them");
    }
  }
}

void read_skyline(ScenarioTable& t, ReceiverScenario& r) {
  const toml::node* node = t.toml().get("skyline_deg");
  if (node == nullptr) {
    return;
  }
  constexpr double kDegree = 0.017453292519943295;
  const toml::array* list = node->as_array();
  bool good = list != nullptr;
  double before = -1;
  for (std::size_t i = 0; good && i < list->size(); ++i) {
    const toml::array* pair = list->get(i)->as_array();
    good = pair != nullptr && pair->size() == 2 && pair->get(0)->is_number() &&
           pair->get(1)->is_number();
    if (good) {
      const double azimuth = pair->get(0)->value_or(0.0);
      const double elevation = pair->get(1)->value_or(0.0);
      good = azimuth > before && azimuth < 360 && elevation >= -10 &&
             elevation <= 90;
      before = azimuth;
      r.skyline.push_back({azimuth * kDegree, elevation * kDegree});
    }
  }
  if (!good) {
    t.reader().wrong_value(
        "skyline_deg", "pairs of azimuth 0 .. 360, ascending, and elevation");
  }
}

Reflector read_reflector(const toml::table& table, Mistakes& mistakes) {
  ScenarioTable t(table, "a reflector", kReflector, mistakes);
  Reflector r;
  t.text("name", r.name);
  t.angle("normal_azimuth_deg", 0, 360, r.plane.normal_azimuth_rad);
  t.angle("normal_elevation_deg", -90, 90, r.plane.normal_elev_rad);
  t.real("distance_m", 0, kKilometre, r.plane.distance_m);
  t.angle("azimuth_from_deg", 0, 360, r.plane.first_azimuth_rad);
  t.angle("azimuth_to_deg", 0, 360, r.plane.last_azimuth_rad);
  t.angle("lowest_deg", -90, 90, r.plane.lowest_elev_rad);
  t.angle("highest_deg", -90, 90, r.plane.highest_elev_rad);
  t.real("coefficient", 0, 1, r.plane.coefficient);
  t.angle("phase_deg", -360, 360, r.plane.phase_rad);
  r.phase_by_seed = !table.contains("phase_deg");
  return r;
}

void read_response(ScenarioTable& t,
                   std::string_view amplitude,
                   std::string_view phase,
                   TideResponse& r) {
  constexpr double kDegree = 0.017453292519943295;
  t.numbers(amplitude, kKilometre, r.amplitude_m);
  t.numbers(phase, 360, r.phase_rad);
  for (std::size_t i = 0; i < r.amplitude_m.size(); ++i) {
    r.amplitude_m[i] *= 1e-3;
    r.phase_rad[i] *= kDegree;
  }
}

void read_events(ScenarioTable& t,
                 GnssTime start,
                 Mistakes& mistakes,
                 ReceiverScenario& r) {
  for_tables(t, "reflector", [&](const toml::table& table) {
    r.reflectors.push_back(read_reflector(table, mistakes));
  });
  if (r.reflectors.size() > kMostReflections) {
    t.reader().wrong_value("reflector",
                           fmt::format("{} reflectors", r.reflectors.size()),
                           fmt::format("give {} at most", kMostReflections));
  }
  for_tables(t, "move", [&](const toml::table& table) {
    ScenarioTable m(table, "a move", kMove, mistakes);
    AntennaMove move;
    m.moment("at", start, move.at_s);
    m.real("over_s", 0, 1e6, move.over_s);
    m.millimetres("east_mm", 1e6, move.offset_m.e_m);
    m.millimetres("north_mm", 1e6, move.offset_m.n_m);
    m.millimetres("up_mm", 1e6, move.offset_m.u_m);
    r.moves.push_back(move);
  });
  for_tables(t, "waypoint", [&](const toml::table& table) {
    ScenarioTable w(table, "a waypoint", kWaypoint, mistakes);
    Waypoint point;
    w.moment("at", start, point.at_s);
    w.real("east_m", -1e5, 1e5, point.from_start_m.e_m);
    w.real("north_m", -1e5, 1e5, point.from_start_m.n_m);
    w.real("up_m", -1e4, 1e4, point.from_start_m.u_m);
    r.waypoints.push_back(point);
  });
  for (const auto& [key, good] :
       {std::pair("move", ascends(r.moves)),
        std::pair("waypoint", ascends(r.waypoints))}) {
    if (!good) {
      t.reader().wrong_value(key,
                             "moments that do not ascend",
                             "put the tables in the order of their moments");
    }
  }
  for_tables(t, "slip", [&](const toml::table& table) {
    ScenarioTable s(table, "a slip", kSlip, mistakes);
    SlipEvent slip;
    s.moment("at", start, slip.at_s);
    std::string satellite;
    s.text("satellite", satellite);
    if (const auto sat = parse_satellite(satellite)) {
      slip.sat = *sat;
    } else {
      s.reader().wrong_value("satellite", "a satellite such as G07");
    }
    s.text("band", slip.band);
    s.real("cycles", -1e6, 1e6, slip.cycles);
    r.slips.push_back(slip);
  });
  for_tables(t, "gap", [&](const toml::table& table) {
    ScenarioTable g(table, "a gap", kSpan, mistakes);
    Span gap;
    g.moment("from", start, gap.from_s);
    g.moment("to", start, gap.to_s);
    r.gaps.push_back(gap);
  });
}

constexpr std::array<std::string_view, 3> kCoordinates{
    "latitude_deg", "longitude_deg", "height_m"};

// By coordinates, or by metres from a receiver above: east and north in its
// horizon's plane, up between the heights.
void read_place(ScenarioTable& t,
                const std::vector<ReceiverScenario>& before,
                ReceiverScenario& r) {
  if (!t.reader().has("from")) {
    for (const std::string_view key : kCoordinates) {
      if (!t.reader().has(key)) {
        t.reader().wrong(
            key,
            fmt::format("a receiver has no '{}'", key),
            "give latitude_deg, longitude_deg and height_m, or from with "
            "east_m, north_m and up_m");
      }
    }
    t.angle("latitude_deg", -90, 90, r.marker.lat_rad);
    t.angle("longitude_deg", -180, 360, r.marker.lon_rad);
    t.real("height_m", -500, 9000, r.marker.height_m);
    return;
  }
  std::string name;
  t.text("from", name);
  const auto first = std::ranges::find(before, name, &ReceiverScenario::name);
  if (first == before.end()) {
    t.reader().wrong_value("from", "the name of a receiver above this one");
    return;
  }
  for (const std::string_view key : kCoordinates) {
    if (t.reader().has(key)) {
      t.reader().wrong_value(
          key, "a coordinate beside an offset", "give the one or the other");
    }
  }
  Enu offset_m;
  t.real("east_m", -1e6, 1e6, offset_m.e_m);
  t.real("north_m", -1e6, 1e6, offset_m.n_m);
  t.real("up_m", -9000, 9000, offset_m.u_m);
  r.marker = to_geodetic(from_enu(offset_m, to_ecef(first->marker)));
  r.marker.height_m = first->marker.height_m + offset_m.u_m;
}

}  // namespace

ReceiverScenario read_receiver(const toml::table& table,
                               GnssTime start,
                               const std::vector<ReceiverScenario>& before,
                               Mistakes& mistakes) {
  ScenarioTable t(table, "a receiver", kReceiver, mistakes);
  ReceiverScenario r;
  t.text("name", r.name);
  t.text("type", r.receiver_type);
  t.text("serial", r.receiver_serial);
  t.text("firmware", r.firmware);
  t.text("antenna", r.antenna);
  t.text("antenna_serial", r.antenna_serial);
  read_place(t, before, r);
  t.real("antenna_height_m", -100, 100, r.antenna_height_m);
  t.real("antenna_east_m", -100, 100, r.antenna_east_m);
  t.real("antenna_north_m", -100, 100, r.antenna_north_m);
  t.real("interval_s", 0.05, 3600, r.interval_s);
  read_signals(t, r);
  t.real("zenith_dbhz", 30, 60, r.zenith_dbhz);
  t.real("least_dbhz", 0, 60, r.least_dbhz);
  t.angle("mask_deg", -5, 89, r.mask_rad);
  if (const auto word = t.reader().word("clock", kClocks)) {
    r.clock = static_cast<ClockKind>(*word);
  }
  double offset_ms = 0;
  t.real("clock_offset_ms", -1000, 1000, offset_ms);
  r.clock_offset_s = offset_ms * 1e-3;
  if (t.reader().has("clock_drift_ppm")) {
    double ppm = 0;
    t.real("clock_drift_ppm", -100, 100, ppm);
    r.clock_drift = ppm * 1e-6;
  }
  t.real("slips_per_hour", 0, 3600, r.slips_per_hour);
  t.real("unflagged_slips", 0, 1, r.unflagged_slips);
  t.real("half_cycle_s", 0, 3600, r.half_cycle_s);
  read_skyline(t, r);
  if (const toml::node* node = table.get("loading")) {
    if (const toml::table* loading = node->as_table()) {
      ScenarioTable l(*loading, "the loading", kLoading, mistakes);
      read_response(l, "up_mm", "up_deg", r.loading.up);
      read_response(l, "west_mm", "west_deg", r.loading.west);
      read_response(l, "south_mm", "south_deg", r.loading.south);
    } else {
      t.reader().wrong_value("loading", "a table");
    }
  }
  read_events(t, start, mistakes, r);
  return r;
}

}  // namespace stillpoint::simulate
