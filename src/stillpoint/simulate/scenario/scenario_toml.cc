#include <fmt/format.h>

#include <array>

#include "stillpoint/simulate/scenario/receiver_tables.h"
#include "stillpoint/simulate/scenario/scenario.h"
#include "stillpoint/simulate/scenario/scenario_table.h"

namespace stillpoint::simulate {
namespace {

constexpr std::size_t kMostText = std::size_t{256} * 1024;
constexpr std::size_t kMostReceivers = 32;
constexpr double kMostHours = 24 * 31;
constexpr double kHour = 3600;

constexpr std::array<KeyRule, 14> kTop{{
    {"name", true, "name = \"larch-hollow\""},
    {"about", false, "about = \"what happens\""},
    {"seed", false, "seed = 1"},
    {"start", true, "start = 2026-06-02T00:00:00"},
    {"hours", true, "hours = 24"},
    {"only", false, "only = [\"noise\"]"},
    {"without", false, "without = [\"multipath\"]"},
    {"sky", false, "[sky]"},
    {"weather", false, "[weather]"},
    {"ionosphere", false, "[ionosphere]"},
    {"wave", false, "[[wave]]"},
    {"scintillation", false, "[[scintillation]]"},
    {"jammer", false, "[[jammer]]"},
    {"receiver", true, "[[receiver]]"},
}};
constexpr std::array<KeyRule, 7> kSky{{
    {"systems", false, "systems = \"GRECJ\""},
    {"broadcast_along_m", false, "broadcast_along_m = 1.0"},
    {"broadcast_across_m", false, "broadcast_across_m = 0.6"},
    {"broadcast_radial_m", false, "broadcast_radial_m = 0.2"},
    {"broadcast_clock_m", false, "broadcast_clock_m = 0.4"},
    {"clock_walk_mm", false, "clock_walk_mm = 1.0"},
    {"code_bias_m", false, "code_bias_m = 1.0"},
}};
constexpr std::array<KeyRule, 6> kWeather{{
    {"pressure_hpa", false, "pressure_hpa = 955"},
    {"wet_zenith_m", false, "wet_zenith_m = 0.12"},
    {"wet_change_m", false, "wet_change_m = 0.02"},
    {"wet_hours", false, "wet_hours = 4"},
    {"gradient_mm", false, "gradient_mm = 0.6"},
    {"wet_apart_mm", false, "wet_apart_mm = 3"},
}};
constexpr std::array<KeyRule, 6> kIonosphere{{
    {"state", false, "state = \"quiet\""},
    {"level", false, "level = 1.0"},
    {"night_tecu", false, "night_tecu = 5"},
    {"day_tecu", false, "day_tecu = 15"},
    {"maximum_hour", false, "maximum_hour = 14"},
    {"tecu_per_degree_north", false, "tecu_per_degree_north = -0.3"},
}};
constexpr std::array<KeyRule, 5> kWave{{
    {"amplitude_tecu", true, "amplitude_tecu = 0.5"},
    {"wavelength_km", false, "wavelength_km = 200"},
    {"period_min", false, "period_min = 20"},
    {"azimuth_deg", false, "azimuth_deg = 160"},
    {"phase_deg", false, "phase_deg = 0"},
}};
constexpr std::array<KeyRule, 5> kScintillation{{
    {"from", true, "from = 2026-06-02T20:00:00"},
    {"to", true, "to = 2026-06-02T21:00:00"},
    {"s4", false, "s4 = 0.4"},
    {"phase_rad", false, "phase_rad = 0.2"},
    {"south_of_deg", false, "south_of_deg = 45"},
}};
constexpr std::array<KeyRule, 5> kJammer{{
    {"from", true, "from = 2026-06-02T20:00:00"},
    {"to", true, "to = 2026-06-02T20:02:00"},
    {"bands", false, "bands = \"1\""},
    {"strength_db", true, "strength_db = 20"},
    {"passing", false, "passing = true"},
}};

// The table of a key; nothing where it is absent, or no table (then said).
const toml::table* table_of(ScenarioTable& top, std::string_view key) {
  const toml::node* node = top.toml().get(key);
  if (node == nullptr) {
    return nullptr;
  }
  if (!node->is_table()) {
    top.reader().wrong_value(key, "a table");
  }
  return node->as_table();
}

void read_effects(ScenarioTable& top, EffectSet& effects) {
  std::vector<std::string> only, without;
  top.texts("only", only);
  top.texts("without", without);
  if (top.reader().has("only")) {
    effects = EffectSet();
  }
  const auto each = [&](std::string_view key,
                        const std::vector<std::string>& names,
                        auto&& use) {
    for (const std::string& name : names) {
      if (const auto effect = find_effect(name)) {
        use(*effect);
      } else {
        top.reader().wrong_value(
            key,
            fmt::format("'{}' is no effect of a world", name),
            "give effects as docs/formats/scenario.md lists them");
      }
    }
  };
  each("only", only, [&](Effect e) { effects.add(e); });
  each("without", without, [&](Effect e) { effects.remove(e); });
}

void read_sky(const toml::table& table, Mistakes& mistakes, SkyScenario& sky) {
  ScenarioTable t(table, "the sky", kSky, mistakes);
  t.text("systems", sky.systems);
  if (sky.systems.empty() ||
      sky.systems.find_first_not_of("GRECJ") != std::string::npos) {
    t.reader().wrong_value("systems", "letters of G R E C J");
  }
  t.real("broadcast_along_m", 0, 100, sky.broadcast_along_m);
  t.real("broadcast_across_m", 0, 100, sky.broadcast_across_m);
  t.real("broadcast_radial_m", 0, 100, sky.broadcast_radial_m);
  t.real("broadcast_clock_m", 0, 100, sky.broadcast_clock_m);
  double walk_mm = sky.clock_walk_m * 1e3;
  t.real("clock_walk_mm", 0, 1000, walk_mm);
  sky.clock_walk_m = walk_mm * 1e-3;
  t.real("code_bias_m", 0, 100, sky.code_bias_m);
}

void read_weather(const toml::table& table,
                  Mistakes& mistakes,
                  WeatherScenario& weather) {
  ScenarioTable t(table, "the weather", kWeather, mistakes);
  double pressure = 0;
  t.real("pressure_hpa", 300, 1100, pressure);
  if (pressure > 0) {
    weather.pressure_hpa = pressure;
  }
  t.real("wet_zenith_m", 0, 1, weather.wet_zenith_m);
  t.real("wet_change_m", 0, 1, weather.wet_change_m);
  t.real("wet_hours", 0.1, 1000, weather.wet_hours);
  double gradient_mm = weather.gradient_m * 1e3;
  t.real("gradient_mm", 0, 100, gradient_mm);
  weather.gradient_m = gradient_mm * 1e-3;
  double apart_mm = weather.wet_apart_m * 1e3;
  t.real("wet_apart_mm", 0, 1000, apart_mm);
  weather.wet_apart_m = apart_mm * 1e-3;
}

void read_ionosphere(ScenarioTable& top,
                     Mistakes& mistakes,
                     const Geodetic& place,
                     Ionosphere& ionosphere) {
  constexpr std::array<std::string_view, 2> kStates{"quiet", "disturbed"};
  ionosphere = quiet_ionosphere(place);
  if (const toml::table* table = table_of(top, "ionosphere")) {
    ScenarioTable t(*table, "the ionosphere", kIonosphere, mistakes);
    if (t.reader().word("state", kStates).value_or(0) == 1) {
      ionosphere = disturbed_ionosphere(place);
    }
    t.real("level", 0, 20, ionosphere.level);
    t.real("night_tecu", 0, 500, ionosphere.night_tecu);
    t.real("day_tecu", 0, 500, ionosphere.day_tecu);
    t.real("maximum_hour", 0, 24, ionosphere.maximum_local_hour);
    t.real("tecu_per_degree_north", -20, 20, ionosphere.tecu_per_degree_north);
  }
  std::size_t count = 0;
  for_tables(top, "wave", [&](const toml::table& table) {
    ScenarioTable t(table, "a wave", kWave, mistakes);
    TravellingWave wave;
    t.real("amplitude_tecu", 0, 100, wave.amplitude_tecu);
    double km = wave.wavelength_m / 1e3, minutes = wave.period_s / 60;
    t.real("wavelength_km", 1, 10'000, km);
    t.real("period_min", 0.1, 1440, minutes);
    wave.wavelength_m = km * 1e3;
    wave.period_s = minutes * 60;
    t.angle("azimuth_deg", 0, 360, wave.azimuth_rad);
    t.angle("phase_deg", -360, 360, wave.phase_rad);
    if (count < ionosphere.waves.size()) {
      ionosphere.waves[count++] = wave;
    } else {
      t.reader().wrong("amplitude_tecu",
                       "more waves than a world has",
                       "give three at most");
    }
  });
}

void read_spells(ScenarioTable& top, Mistakes& mistakes, Scenario& s) {
  for_tables(top, "scintillation", [&](const toml::table& table) {
    ScenarioTable t(table, "a scintillation", kScintillation, mistakes);
    ScintillationSpell spell;
    t.moment("from", s.start, spell.from_s);
    t.moment("to", s.start, spell.to_s);
    t.real("s4", 0, 1.2, spell.strength.s4);
    t.real("phase_rad", 0, 3, spell.strength.sigma_phi_rad);
    t.angle("south_of_deg", -90, 90, spell.north_limit_rad);
    s.scintillation.push_back(spell);
  });
  for_tables(top, "jammer", [&](const toml::table& table) {
    ScenarioTable t(table, "a jammer", kJammer, mistakes);
    Jammer jammer;
    t.moment("from", s.start, jammer.from_s);
    t.moment("to", s.start, jammer.to_s);
    t.text("bands", jammer.bands);
    t.real("strength_db", 0, 80, jammer.strength_db);
    jammer.passing = t.reader().flag("passing").value_or(false);
    s.jammers.push_back(jammer);
  });
}

Scenario read(const toml::table& table, Mistakes& mistakes) {
  ScenarioTable top(table, "a scenario", kTop, mistakes);
  Scenario s;
  top.text("name", s.name);
  top.text("about", s.about);
  if (const auto seed = top.reader().number("seed", 0x7fff'ffff'ffff)) {
    s.seed = *seed;
  }
  top.instant("start", s.start);
  double hours = 24;
  top.real("hours", 1.0 / kHour, kMostHours, hours);
  s.length_s = hours * kHour;
  read_effects(top, s.effects);
  if (const toml::table* sky = table_of(top, "sky")) {
    read_sky(*sky, mistakes, s.sky);
  }
  if (const toml::table* weather = table_of(top, "weather")) {
    read_weather(*weather, mistakes, s.weather);
  }
  for_tables(top, "receiver", [&](const toml::table& receiver) {
    s.receivers.push_back(
        read_receiver(receiver, s.start, s.receivers, mistakes));
  });
  if (s.receivers.empty() || s.receivers.size() > kMostReceivers) {
    top.reader().wrong("receiver",
                       "a world has 1 to 32 receivers",
                       "add a table [[receiver]]");
    s.receivers.resize(1);
  }
  read_ionosphere(top, mistakes, s.receivers.front().marker, s.ionosphere);
  read_spells(top, mistakes, s);
  return s;
}

}  // namespace

Result<Scenario> parse_scenario(std::string_view toml, std::string_view name) {
  if (toml.size() > kMostText) {
    return fail(
        ErrorCode::kConfig,
        fmt::format(
            "{} bytes; a scenario has at most {}", toml.size(), kMostText),
        fmt::format("{}:1:1", name),
        "give a scenario");
  }
  Mistakes mistakes(name);
  const toml::parse_result parsed = toml::parse(toml, name);
  if (!parsed) {
    const toml::parse_error& error = parsed.error();
    mistakes.add(error.source(),
                 std::string(error.description()),
                 "correct this place; docs/formats/scenario.md has a whole "
                 "scenario");
    return fail(mistakes.error());
  }
  Scenario scenario = read(parsed.table(), mistakes);
  if (mistakes.count() > 0) {
    return fail(mistakes.error());
  }
  return scenario;
}

}  // namespace stillpoint::simulate
