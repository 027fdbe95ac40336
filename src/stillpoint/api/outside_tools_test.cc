// Metrics, alert rules and documents held against the programs that other
// people read them with, where they are installed.
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

#include "stillpoint/api/api_test_support.h"
#include "stillpoint/api/metrics.h"
#include "stillpoint/api/status_json.h"

namespace stillpoint::api {
namespace {

using test::empty_status;
using test::full_status;
using test::repository_path;

class OutsideTools : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() / "stillpoint-XXXXXX";
    ASSERT_NE(mkdtemp(folder_.data()), nullptr);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  std::string file(const std::string& text) {
    std::string path = folder_ + "/" + std::to_string(++files_);
    std::ofstream(path, std::ios::binary) << text;
    return path;
  }

 private:
  std::string folder_;
  int files_ = 0;
};

struct Said {
  int code = -1;
  std::string text;
};

Said run(const std::string& command) {
  Said said;
  std::array<char, 256> piece{};
  FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
  while (pipe != nullptr && std::fgets(piece.data(), 256, pipe) != nullptr) {
    said.text += piece.data();
  }
  if (pipe != nullptr) {
    said.code = ::pclose(pipe);
  }
  return said;
}

bool is_installed(const std::string& command) {
  return run(command).code == 0;
}

// kind: cross   source: promtool of Debian's package prometheus
// tolerance: 0, its verdict; it prints what it finds
TEST_F(OutsideTools, PromtoolFindsNothingInTheMetrics) {
  if (!is_installed("promtool --version")) {
    GTEST_SKIP() << "skipped: no promtool";
  }
  for (const auto& status : {full_status(), empty_status()}) {
    const Said said =
        run("promtool check metrics < " + file(metrics_text(status)));
    EXPECT_EQ(said.code, 0);
    EXPECT_EQ(said.text, "");
  }
  EXPECT_NE(run("promtool check metrics < " + file("bad_total{ 1\n")).code, 0)
      << "it does look";
}

// kind: cross   source: promtool
// tolerance: 0
TEST_F(OutsideTools, PromtoolTakesTheAlertRules) {
  if (!is_installed("promtool --version")) {
    GTEST_SKIP() << "skipped: no promtool";
  }
  const Said said =
      run("promtool check rules " + repository_path("packaging/alerts.yml"));
  EXPECT_EQ(said.code, 0) << said.text;
  EXPECT_NE(said.text.find("SUCCESS"), std::string::npos) << said.text;
}

// kind: cross   source: python3-jsonschema, JSON Schema draft 2020-12
// tolerance: 0
TEST_F(OutsideTools, DocumentsFollowTheirSchemas) {
  if (!is_installed("/usr/bin/python3 -c 'import jsonschema'")) {
    GTEST_SKIP() << "skipped: no jsonschema";
  }
  const std::string validator = file(
      "import json, sys, jsonschema\n"
      "schema = json.load(open(sys.argv[1]))\n"
      "jsonschema.Draft202012Validator.check_schema(schema)\n"
      "jsonschema.Draft202012Validator(schema).validate(\n"
      "    json.load(open(sys.argv[2])))\n");
  const auto validate = [&](const std::string& schema,
                            const nlohmann::ordered_json& document) {
    return run("/usr/bin/python3 " + validator + " " +
               repository_path("docs/schemas/" + schema + ".schema.json") +
               " " + file(document.dump()));
  };
  for (const auto& status : {full_status(), empty_status()}) {
    const Said whole = validate("status", status_json(status));
    EXPECT_EQ(whole.code, 0) << whole.text;
    const Said health = validate("health", health_json(station_checks(status)));
    EXPECT_EQ(health.code, 0) << health.text;
  }
  // Every key must be there, and no other may.
  const auto full = status_json(full_status());
  for (const auto& part : full.items()) {
    auto without = full;
    without.erase(part.key());
    EXPECT_NE(validate("status", without).code, 0) << part.key();
  }
  auto more = full;
  more["receiver"]["position"] = 1;
  EXPECT_NE(validate("status", more).code, 0);
}

}  // namespace
}  // namespace stillpoint::api
