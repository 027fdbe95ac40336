// What tests of the jobs share: a program whose verbs are scripts.
#pragma once

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "stillpoint/station/jobs.h"
#include "stillpoint/station/small_file.h"
#include "stillpoint/station/station_test_support.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station::test {

inline constexpr const char* kExport = R"(
while [ "$1" != --out ]; do shift; done
echo data > "$2/day.crx.gz"
echo data > "$2/day.rnx.gz"
echo '{"files":[
 {"path":"'$2'/day.crx.gz","kind":"observations","start":"a","epochs":200},
 {"path":"'$2'/day.rnx.gz","kind":"navigation","start":"a","epochs":null}]}'
)";

inline constexpr const char* kLocate = R"(
echo '{"status":"converged","why":"","method":"code","position":{},"inputs":[]}' > record.json
echo page > report.html
)";

inline GnssTime at(double s) {
  return parse_time("2026-06-02").value() + Duration{s};
}

inline JobRequest solve(JobMethod method = JobMethod::kAuto) {
  JobRequest request;
  request.by = "mara";
  request.start = at(0);
  request.end = at(3600);
  request.method = method;
  return request;
}

inline JobRequest files() {
  JobRequest request = solve();
  request.kind = JobKind::kExport;
  return request;
}

// A program whose verbs are scripts, and the jobs that run it.
class JobsTest : public ::testing::Test {
 protected:
  JobsTest() {
    write("program", "#!/bin/sh\n. '" + (folder_ / "") + "'\"$1.sh\"\n");
    ::chmod((folder_ / "program").c_str(), 0700);
    write("export.sh", kExport);
    write("locate.sh", kLocate);
    options_.folder = folder_ / "jobs";
    options_.cache = folder_ / "products";
    options_.config = folder_ / "station.toml";
    options_.program = folder_ / "program";
    options_.store = [this](const std::string& document,
                            JobKind /*kind*/,
                            const std::string& by) -> Result<std::int64_t> {
      const std::lock_guard lock(mutex_);
      stored_.push_back(by + ": " + document);
      return static_cast<std::int64_t>(40 + stored_.size());
    };
    config_.solve.growth = config_.solve.day = false;
  }
  void TearDown() override { end(); }

  void write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name) << text;
  }
  void open() {
    jobs_ = std::make_unique<Jobs>(
        options_, config_, clock_.clocks(), chronicle_, log_.logger());
    ASSERT_TRUE(jobs_->open());
  }
  void start() {
    if (!jobs_) {
      open();
    }
    thread_ = std::thread([this] { jobs_->run(); });
  }
  void end() {
    if (thread_.joinable()) {
      jobs_->stop();
      thread_.join();
    }
    jobs_.reset();
  }
  JobView ended(const std::string& id) {
    EXPECT_TRUE(test::wait_until([&] {
      const auto view = jobs_->find(id);
      return view && has_ended(view->state);
    }));
    return jobs_->find(id).value_or(JobView{});
  }
  void wait_running(const std::string& id) {
    EXPECT_TRUE(test::wait_until([&] {
      return jobs_->find(id)->state == JobState::kRunning &&
             exists(std::filesystem::path("jobs") / id / "work" / "began");
    }));
  }
  [[nodiscard]] bool exists(const std::filesystem::path& name) const {
    return std::filesystem::exists(folder_ / name.string());
  }
  [[nodiscard]] std::string text(const std::string& name) const {
    return read_small_file(folder_ / name, 1 << 20).value_or("(none)");
  }
  // Puts orbits and clocks of the day into the owner's folder.
  void fill_shelf(const std::string& line) {
    config_.solve.products = folder_ / "shelf";
    std::filesystem::create_directory(folder_ / "shelf");
    write("shelf/" + line + "_20261530000_01D_15M_ORB.SP3", "");
    write("shelf/" + line + "_20261530000_01D_30S_CLK.CLK", "");
  }

  test::TempFolder folder_;
  test::HandClock clock_;
  test::LogLines log_;
  Chronicle chronicle_{
      {.database = folder_ / "station.db"}, clock_.clocks(), log_.logger()};
  JobsOptions options_;
  config::StationConfig config_;
  std::mutex mutex_;
  std::vector<std::string> stored_;
  std::unique_ptr<Jobs> jobs_;
  std::thread thread_;
};

inline constexpr const char* kHang = "touch work/began\nexec sleep 600\n";

}  // namespace stillpoint::station::test
