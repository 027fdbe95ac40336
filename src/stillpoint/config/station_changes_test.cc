#include "stillpoint/config/station_changes.h"

#include "stillpoint/config/settings.h"
#include "stillpoint/config/station_test_support.h"

namespace stillpoint::config {
namespace {

constexpr Effect kNow = Effect::kAtOnce;
constexpr Effect kLater = Effect::kAfterRestart;

std::vector<MountpointSection> mounts(
    std::initializer_list<const char*> names) {
  std::vector<MountpointSection> list;
  for (const char* name : names) {
    list.emplace_back().name = name;
  }
  return list;
}

TEST(Compare, TheSameHasNoChange) {
  EXPECT_TRUE(compare(StationConfig{}, StationConfig{}).empty());
}

TEST(Compare, SaysWhatChangedAndWhenItCounts) {
  StationConfig before, after;
  after.archive.commit_s = 10;
  after.receiver.nav_sources = {"/a", "b\"c"};
  after.rovers.listen.reset();
  after.trust.withhold = Withhold::kAll;
  after.mountpoints[0].latitude_deg = 47.3;
  const std::vector<Change> expected = {
      {"receiver.nav_sources", "[]", R"(["/a", "b\"c"])", kLater},
      {"archive.commit_s", "5", "10", kNow},
      {"rovers.listen", "\"127.0.0.1:2101\"", "\"\"", kLater},
      {"trust.withhold", "\"position\"", "\"all\"", kNow},
      {"mountpoint.NAME.latitude_deg", "(none)", "47.3", kNow},
  };
  EXPECT_EQ(compare(before, after), expected);
  EXPECT_EQ(expected[1].text(),
            "archive.commit_s: 5 -> 10, takes effect at once");
  EXPECT_TRUE(expected[0].text().ends_with("takes effect after a restart"));
}

TEST(Compare, MountpointsAreTheSameByTheirName) {
  StationConfig before, after;
  before.mountpoints = mounts({"A", "B", "C"});
  after.mountpoints = mounts({"C", "D", "A"});
  after.mountpoints[0].most = 5;
  const std::vector<Change> expected = {
      {"mountpoint.B", "\"B\"", "(none)", kLater},
      {"mountpoint.C.most", "0", "5", kNow},
      {"mountpoint.D", "(none)", "\"D\"", kLater},
  };
  EXPECT_EQ(compare(before, after), expected);
}

// Every setting of the list, changed alone, is one change of that name.
template <class S>
void change_each(const std::string& name,
                 const S& other,
                 StationConfig& config,
                 S& section) {
  const StationConfig before = config;
  for (const Setting<S>& setting : settings_of<S>()) {
    if (name == "mountpoint.NAME" && setting.key == "name") {
      continue;  // by it mountpoints are told apart
    }
    copy_value(setting, other, section);
    const auto changes = compare(before, config);
    ASSERT_EQ(changes.size(), 1U) << name << " " << setting.key;
    EXPECT_EQ(changes[0].setting, name + "." + std::string(setting.key));
    EXPECT_EQ(changes[0].effect, setting.effect);
    config = before;
  }
}

TEST(Compare, SeesEverySetting) {
  StationConfig c;
  const std::optional<ListenAddress> listen = ListenAddress{"::", 1};
  change_each("station", {"B", "/b", "b", "b", "b"}, c, c.station);
  change_each(
      "receiver", {"b", "b", {"b"}, "b", 1, "b", "b", "b"}, c, c.receiver);
  change_each("antenna", {"b", "b", 1, 2, 3}, c, c.antenna);
  change_each("archive", {1, 1, 1, 1, 1}, c, c.archive);
  change_each("rovers",
              {listen, listen, "b", "b", 1, 1, 1, 1, 1, 1, "1033", "7"},
              c,
              c.rovers);
  change_each("mountpoint.NAME",
              {"NAME", "b", "b", "b", 1, 1, true, 1},
              c,
              c.mountpoints[0]);
  change_each("trust", {true, Withhold::kAll}, c, c.trust);
  change_each("solve",
              {false, false, true, "b", "b", "b", "b", "b", 64, 1},
              c,
              c.solve);
  change_each("console", {listen, "b", "b"}, c, c.console);
  change_each("health", {listen}, c, c.health);
  change_each("log", {LogLevel::kError, LogFormat::kJson}, c, c.log);
}

TEST(Reload, AFileWithAMistakeChangesNothing) {
  const StationConfig running = config_of(with_needed("archive.commit_s = 7"));
  const auto reload =
      reload_station_config(running,
                            with_needed("archive.commit_s = 8\n"
                                        "archive.compression = 99\n"),
                            "new.toml",
                            accept_serial);
  ASSERT_FALSE(reload);
  EXPECT_EQ(reload.error().where, "new.toml:4:23");
}

TEST(Reload, TakesAtOnceWhatItCanAndKeepsTellingTheRest) {
  const StationConfig running = config_of(with_needed(""));
  const std::string text =
      "station.name = 'LHOL00XXX'\n"
      "archive.commit_s = 8\n"
      "rovers.listen = '0.0.0.0:2101'\n"
      "mountpoint = [{name = 'NEW'}, {name = 'LHOL', open = true}]";
  const auto reload =
      reload_station_config(running, text, "s.toml", accept_serial);
  ASSERT_TRUE(reload) << reload.error().text();
  EXPECT_EQ(reload->changes.size(), 4U);
  StationConfig expected = running;
  expected.archive.commit_s = 8;
  expected.mountpoints[0].open = true;
  EXPECT_EQ(reload->config, expected);

  const auto again =
      reload_station_config(reload->config, text, "s.toml", accept_serial);
  ASSERT_TRUE(again);
  EXPECT_EQ(again->config, expected);
  ASSERT_EQ(again->changes.size(), 2U);
  EXPECT_EQ(again->changes[0].setting, "rovers.listen");
  EXPECT_EQ(again->changes[1].setting, "mountpoint.NEW");
}

}  // namespace
}  // namespace stillpoint::config
