#include "stillpoint/api/status_json.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "stillpoint/api/api_test_support.h"

namespace stillpoint::api {
namespace {

using Json = nlohmann::ordered_json;
using test::empty_status;
using test::full_status;

TEST(StatusJson, EveryValueIsThatOfTheStatus) {
  StationStatus status = full_status();
  status.receiver.source = "ntrip://club-guest@192.0.2.9:2101/LHOL0?gga=1,2";
  status.decode.messages = {{1005, 360}};
  status.decode.satellites = {{System::kGps, 17}};
  status.decode.signals = {{{System::kGps, {'1', 'C'}}, {44.5006, 19}}};
  Json document = status_json(status);
  EXPECT_EQ(document["checks"].size(), 10U);
  EXPECT_EQ(document["checks"][0],
            Json::parse(R"({"name":"receiver","good":true,"why":null})"));
  document.erase("checks");
  // Times: GPS week 2300, 43200 s, less 18 s, by `date`.
  EXPECT_EQ(document, Json::parse(R"({
    "schema_version": 1, "station": "LHOL00XXX", "version": "0.1.0",
    "started": "2024-02-04T11:59:42Z", "now": "2024-02-04T12:59:42.5Z",
    "uptime_s": 3600.5, "durable_offset": 50004,
    "receiver": {
      "source": "ntrip://192.0.2.9:2101/LHOL0", "state": "open",
      "since": "2024-02-04T11:59:42Z", "why": null, "bytes": 1001,
      "last_byte_age_s": 0.25, "silence_s": 10.0, "reconnects": 2,
      "start_up": "done"},
    "archive": {
      "state": "recording", "why": null, "stream": 3, "durable_offset": 50004,
      "end_offset": 50500, "pending_bytes": 496, "dropped_bytes": 5,
      "segments": 6, "disk_free_bytes": 7516192768,
      "leave_free_bytes": 536870912, "last_commit_age_s": 4.5},
    "rovers": {
      "listeners": [{"address": "127.0.0.1:2101", "tls": false, "open": true,
                     "why": null}],
      "connections": 12, "rovers": 11, "arrived": 40, "turned_away": 8,
      "refused": 9, "sessions": 30, "chunks": 12000, "wire_bytes": 8400000,
      "offered_bytes": 8300000, "sent_bytes": 8200000, "unsent_bytes": 90000,
      "departures": {"closed": 10, "error": 1, "slow": 2, "too_old": 3,
                     "budget": 4, "flood": 6, "limit": 7, "shutdown": 13},
      "mounts": {"LHOL0": 11}},
    "decode": {
      "messages": [{"type": 1005, "count": 360}],
      "bad": {"crc": 14, "malformed": 15, "skipped_bytes": 16},
      "satellites": {"G": 17},
      "signals": [{"system": "G", "signal": "1C", "mean_cn0_dbhz": 44.501,
                   "slips": 19}],
      "epochs": {"received": 3599, "missed": 21, "last_age_s": 0.75},
      "code_offset_m": 1.5, "queue_dropped_bytes": 22},
    "store": {"good": true, "why": null, "entries_waiting": 23},
    "process": {
      "resident_bytes": 25165824, "open_files": 25,
      "threads": [{"name": "archive", "beat_age_s": 0.5},
                  {"name": "network", "beat_age_s": 0.125}],
      "clock_offset_s": 0.375},
    "config": {"path": "station.toml", "loaded_at": "2024-02-04T11:59:42Z",
               "last_error": null},
    "trust": {"state": "doubtful", "since": "2024-02-04T12:00:42Z",
              "reasons": ["cn0_fell"]},
    "certificate": {"ends": "2024-11-30T12:59:42.5Z"}})"));
}

// All keys of a document, "receiver.state"; of a list those of its items.
void collect(const Json& value,
             const std::string& path,
             std::vector<std::string>& keys) {
  if (value.is_object()) {
    for (const auto& [key, child] : value.items()) {
      keys.push_back(fmt::format("{}.{}", path, key));
      collect(child, fmt::format("{}.{}", path, key), keys);
    }
  }
  for (const Json& item : value.is_array() ? value : Json::array()) {
    collect(item, path, keys);
  }
}

TEST(StatusJson, KeysAreThereBeforeAnythingIsKnown) {
  const Json full = status_json(full_status());
  const Json empty = status_json(empty_status());
  for (const auto& [key, value] : full.items()) {
    ASSERT_TRUE(empty.contains(key)) << key;
    if (value.is_object()) {
      for (const auto& [inner, unused] : value.items()) {
        EXPECT_TRUE(empty[key].contains(inner)) << key << "." << inner;
      }
    }
  }
  EXPECT_TRUE(empty["receiver"]["last_byte_age_s"].is_null());
  EXPECT_TRUE(empty["archive"]["stream"].is_null());
  EXPECT_TRUE(empty["certificate"]["ends"].is_null());
}

TEST(StatusJson, TellsNoPositionAndNoPerson) {
  StationStatus status = full_status();
  status.receiver.source =
      "ntrip://tractor-2@192.0.2.9:2101/LHOL0?gga=47.31,8.92,512";
  const Json document = status_json(status);
  std::vector<std::string> keys;
  collect(document, "", keys);
  EXPECT_GT(keys.size(), 60U);
  for (const std::string& key : keys) {
    for (const char* word : {"lat",
                             "lon",
                             "ecef",
                             "geodetic",
                             "coord",
                             "height",
                             "arp",
                             "position",
                             "x_m",
                             "user",
                             "login",
                             "password"}) {
      EXPECT_EQ(key.find(word), std::string::npos) << key;
    }
  }
  const std::string text = document.dump();
  for (const char* word : {"47.31", "8.92", "tractor-2", "gga"}) {
    EXPECT_EQ(text.find(word), std::string::npos) << word;
  }
}

TEST(ShownSource, LeavesOutUserAndOptions) {
  EXPECT_EQ(shown_source("serial:/dev/ttyACM0?baud=115200"),
            "serial:/dev/ttyACM0");
  EXPECT_EQ(shown_source("tcp://[2001:db8::1]:5000"),
            "tcp://[2001:db8::1]:5000");
  EXPECT_EQ(shown_source("ntrips://a@b@host:2101/M@X?ca_file=a"),
            "ntrips://host:2101/M@X");
  EXPECT_EQ(shown_source("ntrip://user@host"), "ntrip://host");
  EXPECT_EQ(shown_source("file:a@b"), "file:a@b");
  EXPECT_EQ(shown_source("-"), "-");
  EXPECT_EQ(shown_source(""), "");
}

TEST(StatusJson, WhatIsNoNumberIsNotKnown) {
  StationStatus status = full_status();
  status.decode.code_offset_m = std::numeric_limits<double>::quiet_NaN();
  status.process.clock_offset_s = std::numeric_limits<double>::infinity();
  const Json document = status_json(status);
  EXPECT_TRUE(document["decode"]["code_offset_m"].is_null());
  EXPECT_TRUE(document["process"]["clock_offset_s"].is_null());
}

TEST(StatusJson, StatesHaveTheirWords) {
  EXPECT_STREQ(state_name(ReceiverState::kOpening), "opening");
  EXPECT_STREQ(state_name(ReceiverState::kSilent), "silent");
  EXPECT_STREQ(state_name(ReceiverState::kWaiting), "waiting");
  EXPECT_STREQ(state_name(ReceiverState::kEnded), "ended");
  EXPECT_STREQ(state_name(StartUpState::kNone), "none");
  EXPECT_STREQ(state_name(StartUpState::kRunning), "running");
  EXPECT_STREQ(state_name(StartUpState::kFailed), "failed");
  EXPECT_STREQ(state_name(ArchiveState::kIdle), "idle");
  EXPECT_STREQ(state_name(ArchiveState::kCannotWrite), "cannot_write");
  EXPECT_STREQ(state_name(ArchiveState::kOff), "off");
}

// kind: cross   source: `date -u -d 2017-01-01 +%s` is 1483228800; a leap
// second ended the day before
// tolerance: 0
TEST(UnixTime, FollowsLeapSeconds) {
  const auto midnight = GnssTime::from_gps_week(1930, 18);
  EXPECT_EQ(unix_s(midnight), 1'483'228'800.0);
  EXPECT_EQ(unix_s(midnight + Duration{0.5}), 1'483'228'800.5);
  EXPECT_EQ(unix_s(midnight - Duration{2}), 1'483'228'799.0);
}

}  // namespace
}  // namespace stillpoint::api
