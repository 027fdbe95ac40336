#include "stillpoint/api/metrics.h"

#include <gtest/gtest.h>

#include <sstream>

#include "stillpoint/api/api_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::api {
namespace {

using test::empty_status;
using test::Family;
using test::full_status;

std::map<std::string, Family> families(const StationStatus& status) {
  std::vector<std::string> mistakes;
  auto all = test::read_metrics(metrics_text(status), mistakes);
  for (const std::string& mistake : mistakes) {
    ADD_FAILURE() << mistake;
  }
  return all;
}

TEST(Metrics, EveryValueIsThatOfTheStatus) {
  const auto all = families(full_status());
  const std::map<std::string, double> wanted = {
      {"build_info{version=\"0.1.0\"}", 1},
      {"uptime_seconds", 3600.5},
      {"check_good{check=\"receiver\"}", 1},
      {"resident_memory_bytes", 24 << 20U},
      {"open_files", 25},
      {"thread_beat_age_seconds{thread=\"archive\"}", 0.5},
      {"thread_beat_age_seconds{thread=\"network\"}", 0.125},
      {"clock_offset_seconds", 0.375},
      {"config_last_reload_failed", 0},
      {"receiver_open", 1},
      {"receiver_bytes_total", 1001},
      {"receiver_last_byte_age_seconds", 0.25},
      {"receiver_reconnects_total", 2},
      {"receiver_start_up_failed", 0},
      {"archive_writable", 1},
      {"archive_end_offset_bytes", 50'500},
      {"archive_durable_offset_bytes", 50'004},
      {"archive_pending_bytes", 496},
      {"archive_dropped_bytes_total", 5},
      {"archive_segments", 6},
      {"archive_disk_free_bytes", 7.0 * (1U << 30U)},
      {"archive_last_commit_age_seconds", 4.5},
      {"rover_connections", 12},
      {"rovers", 11},
      {"rover_arrivals_total", 40},
      {"rover_turned_away_total", 8},
      {"rover_refusals_total", 9},
      {"rover_sessions_total", 30},
      {"rover_chunks_total", 12'000},
      {"rover_wire_bytes_total", 8'400'000},
      {"rover_unsent_bytes_total", 90'000},
      {"rover_departures_total{reason=\"closed\"}", 10},
      {"rover_departures_total{reason=\"error\"}", 1},
      {"rover_departures_total{reason=\"slow\"}", 2},
      {"rover_departures_total{reason=\"too_old\"}", 3},
      {"rover_departures_total{reason=\"budget\"}", 4},
      {"rover_departures_total{reason=\"flood\"}", 6},
      {"rover_departures_total{reason=\"limit\"}", 7},
      {"rover_departures_total{reason=\"shutdown\"}", 13},
      {"rtcm_messages_total{type=\"1005\"}", 360},
      {"rtcm_messages_total{type=\"1077\"}", 3600},
      {"rtcm_bad_checksum_total", 14},
      {"rtcm_malformed_total", 15},
      {"stream_skipped_bytes_total", 16},
      {"satellites{system=\"G\"}", 17},
      {"satellites{system=\"E\"}", 18},
      {"signal_cn0_dbhz{system=\"G\",signal=\"1C\"}", 44.5},
      {"signal_cn0_dbhz{system=\"E\",signal=\"5Q\"}", 46.25},
      {"signal_slips_total{system=\"G\",signal=\"1C\"}", 19},
      {"signal_slips_total{system=\"E\",signal=\"5Q\"}", 20},
      {"epochs_received_total", 3599},
      {"epochs_missed_total", 21},
      {"last_epoch_age_seconds", 0.75},
      {"code_offset_meters", 1.5},
      {"decode_dropped_bytes_total", 22},
      {"store_good", 1},
      {"store_entries_waiting", 23},
  };
  std::size_t times = 0;
  std::map<std::string, double> got;
  for (const auto& [name, family] : all) {
    for (const auto& [labels, value] : family.samples) {
      const std::string key =
          name.substr(std::string("stillpoint_").size()) + labels;
      if (key.ends_with("time_seconds") && key != "uptime_seconds") {
        ++times;
      } else if (!key.starts_with("check_good") ||
                 key == "check_good{check=\"receiver\"}") {
        got[key] = value;
      }
    }
  }
  EXPECT_EQ(got, wanted);
  EXPECT_EQ(times, 3U);
  EXPECT_EQ(all.at("stillpoint_check_good").samples.size(), 10U);
}

// kind: cross   source: `date -u -d 2024-02-04T11:59:42 +%s`, GPS week 2300 at
// 43200 s, 18 leap seconds
// tolerance: 0
TEST(Metrics, TimesCountFrom1970InUtc) {
  const auto all = families(full_status());
  const auto value = [&](const std::string& name) {
    return all.at("stillpoint_" + name).samples.at("");
  };
  EXPECT_EQ(value("start_time_seconds"), 1'707'047'982.0);
  EXPECT_EQ(value("config_loaded_time_seconds"), 1'707'047'982.0);
  EXPECT_EQ(value("certificate_end_time_seconds"),
            1'707'047'982.0 + 3600.5 + 300 * 86'400.0);
}

TEST(Metrics, TroubleShows) {
  StationStatus status = full_status();
  status.receiver.state = ReceiverState::kSilent;
  status.receiver.start_up = StartUpState::kFailed;
  status.archive.state = ArchiveState::kCannotWrite;
  status.config.last_error = "station.toml:1:1";
  status.store.good = false;
  const auto all = families(status);
  const auto value = [&](const std::string& name, const std::string& labels) {
    return all.at("stillpoint_" + name).samples.at(labels);
  };
  EXPECT_EQ(value("receiver_open", ""), 0);
  EXPECT_EQ(value("receiver_start_up_failed", ""), 1);
  EXPECT_EQ(value("archive_writable", ""), 0);
  EXPECT_EQ(value("config_last_reload_failed", ""), 1);
  EXPECT_EQ(value("store_good", ""), 0);
  EXPECT_EQ(value("check_good", "{check=\"receiver\"}"), 0);
  EXPECT_EQ(value("check_good", "{check=\"clock\"}"), 1);
}

TEST(Metrics, WhatIsNotKnownIsAbsent) {
  const auto all = families(empty_status());
  for (const char* name : {"receiver_last_byte_age_seconds",
                           "archive_segments",
                           "satellites",
                           "signal_cn0_dbhz",
                           "rtcm_messages_total",
                           "code_offset_meters",
                           "certificate_end_time_seconds"}) {
    EXPECT_EQ(all.count(std::string("stillpoint_") + name), 0U) << name;
  }
  EXPECT_EQ(all.at("stillpoint_receiver_bytes_total").samples.at(""), 0);
}

TEST(Metrics, LabelsAreBounded) {
  StationStatus status = full_status();
  status.decode.messages.clear();
  for (int type = 0; type < 4096; ++type) {
    status.decode.messages[type] = 2;
  }
  for (char band = '0'; band <= '9'; ++band) {
    for (char attribute = '!'; attribute <= '~'; ++attribute) {
      status.decode.signals[{System::kGps, {band, attribute}}] = {40.0, 1};
    }
  }
  const auto all = families(status);
  const auto& types = all.at("stillpoint_rtcm_messages_total").samples;
  EXPECT_EQ(types.size(), kMostMessageTypes + 1);
  EXPECT_EQ(types.at("{type=\"other\"}"), 2 * (4096.0 - kMostMessageTypes));
  for (const char* name : {"signal_cn0_dbhz", "signal_slips_total"}) {
    EXPECT_EQ(all.at(std::string("stillpoint_") + name).samples.size(),
              kMostSignals);
  }
}

// The promise of docs/monitoring.md: every name stands there, with its kind,
// and nothing else does.
TEST(Metrics, ThePageNamesThemAll) {
  const std::string page = test::file_text("docs/monitoring.md");
  std::map<std::string, std::string> told, made;
  std::istringstream lines(page);
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("| `stillpoint_")) {
      // | `name` | kind | label | is |
      const std::size_t end = line.find('`', 3);
      const std::size_t kind = end + 4;
      told[line.substr(3, end - 3)] =
          line.substr(kind, line.find(' ', kind) - kind);
    }
  }
  for (const auto& [name, family] : families(full_status())) {
    made[name] = family.type;
  }
  EXPECT_EQ(told, made);
}

TEST(Metrics, TheAlertRulesUseNoOtherNames) {
  const std::string rules = test::file_text("packaging/alerts.yml");
  const auto all = families(full_status());
  const auto used = test::metric_names(rules);
  EXPECT_GT(used.size(), 5U);
  for (const std::string& metric : used) {
    EXPECT_EQ(all.count(metric), 1U) << metric;
  }
}

}  // namespace
}  // namespace stillpoint::api
