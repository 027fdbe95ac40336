#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "stillpoint/report/listen_json.h"
#include "stillpoint/report/listen_text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

const char* name_of(int type) {
  return type == 1077 ? "GPS MSM7" : nullptr;
}

intake::SurveyReport heard() {
  intake::SurveyReport r;
  r.seconds = 10.0004;
  r.bytes = 12'345;
  r.messages.push_back({std::nullopt, 2, 12, false, std::nullopt});
  r.messages.push_back({1077, 10, 4580, true, 1.0});
  r.messages.push_back({4087, 1, 30, false, 0.1});
  r.station.id = 5;
  r.station.arp_m = to_ecef({0.8255, 0.1553, 512.0});
  r.systems[0] = intake::SystemReport{9, {"1C", "2W"}, 0};
  r.epochs = {10,
              1.0,
              *parse_time("2024-11-23T12:00:00Z"),
              *parse_time("2024-11-23T12:00:09Z")};
  r.nmea.push_back({"GGA", 3});
  r.lacks = {"no ephemerides of GPS (1019)"};
  return r;
}

TEST(ListenJson, EveryKeyIsThereAndUnknownIsNull) {
  const auto d = listen_json({}, "-");
  for (const char* key : {"schema_version",
                          "source",
                          "seconds",
                          "bytes",
                          "messages",
                          "bad",
                          "station",
                          "systems",
                          "epochs",
                          "lacks",
                          "nmea",
                          "maker_packets"}) {
    EXPECT_TRUE(d.contains(key)) << key;
  }
  EXPECT_TRUE(d["seconds"].is_null());
  EXPECT_TRUE(d["station"]["id"].is_null());
  EXPECT_TRUE(d["station"]["ecef_m"].is_null());
  EXPECT_TRUE(d["epochs"]["first"].is_null());
  EXPECT_TRUE(d["systems"].empty());
}

TEST(ListenJson, ValuesStandUnderTheirKeys) {
  const auto d = listen_json(heard(), "serial:/dev/ttyACM0?baud=115200");
  EXPECT_EQ(d["seconds"].dump(), "10.0");
  EXPECT_TRUE(d["messages"][0]["type"].is_null());
  EXPECT_EQ(d["messages"][1]["type"], 1077);
  EXPECT_EQ(d["messages"][1]["rate_hz"], 1.0);
  EXPECT_EQ(d["messages"][2]["decoded"], false);
  EXPECT_EQ(d["systems"]["G"]["signals"][1], "2W");
  EXPECT_EQ(d["epochs"]["last"], "2024-11-23T12:00:09Z");
  EXPECT_EQ(d["nmea"][0]["type"], "GGA");
}

TEST(ListenText, LinesAreShortAndSayWhatIsLacking) {
  const std::string text = listen_text(heard(), "-", name_of);
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(line.size(), 78U) << line;
  }
  EXPECT_NE(text.find("GPS MSM7"), std::string::npos);
  EXPECT_NE(text.find("no ephemerides of GPS (1019)"), std::string::npos);
  EXPECT_NE(text.find("every 10 s"), std::string::npos);
  EXPECT_EQ(text.find('\x1b'), std::string::npos);
}

}  // namespace
}  // namespace stillpoint::report
