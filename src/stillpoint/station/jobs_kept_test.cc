// What the disk keeps of jobs, and what it does not.
#include "stillpoint/station/jobs_test_support.h"

namespace stillpoint::station {
namespace {

using test::files;
using test::kHang;
using test::kLocate;
using test::solve;

class JobsKeptTest : public test::JobsTest {};

TEST_F(JobsKeptTest, TheStationsEndEndsTheRunAndTheRestWaits) {
  write("locate.sh", kHang);
  start();
  const std::string running = jobs_->ask(solve()).value();
  wait_running(running);
  const std::string waiting = jobs_->ask(solve()).value();
  end();
  write("locate.sh", kLocate);
  start();
  EXPECT_EQ(jobs_->find(running)->state, JobState::kFailed);
  EXPECT_EQ(jobs_->find(running)->why, "the station ended meanwhile");
  EXPECT_EQ(ended(waiting).state, JobState::kDone);
  EXPECT_EQ(jobs_->ask(solve()).value(), "3");
}

// As after a loss of power: the state says that it runs.
TEST_F(JobsKeptTest, WhatRanWhenThePowerWentHasFailed) {
  write("locate.sh", kHang);
  start();
  wait_running(jobs_->ask(solve()).value());
  std::filesystem::copy(folder_ / "jobs",
                        folder_ / "card",
                        std::filesystem::copy_options::recursive);
  EXPECT_NE(text("card/1/state.json").find("running"), std::string::npos);
  end();
  options_.folder = folder_ / "card";
  start();
  const JobView view = ended("1");
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_EQ(view.why, "the station ended meanwhile");
  EXPECT_FALSE(exists("card/1/work"));
  EXPECT_TRUE(test::wait_until([&] {
    return text("card/1/state.json").find("meanwhile") != std::string::npos;
  }));
}

TEST_F(JobsKeptTest, TheListIsReadBackAsItWas) {
  start();
  const std::string id = jobs_->ask(files()).value();
  const JobView before = ended(id);
  end();
  std::filesystem::create_directory(folder_ / "jobs/9");
  write("jobs/9/job.json", "{");
  open();
  const JobView after = jobs_->find(id).value();
  EXPECT_EQ(after.state, before.state);
  EXPECT_EQ(after.files, before.files);
  EXPECT_EQ(after.what, before.what);
  EXPECT_EQ(after.asked, before.asked);
  EXPECT_EQ(after.ended, before.ended);
  EXPECT_EQ(after.request.by, "mara");
  EXPECT_EQ(after.request.end, before.request.end);
  EXPECT_EQ(jobs_->list().size(), 1U);
  EXPECT_EQ(log_.count("passed over"), 1);
  EXPECT_EQ(jobs_->ask(solve()).value(), "10");  // no number twice
}

TEST_F(JobsKeptTest, OldFoldersGoAndOldExportsGiveTheirFiles) {
  options_.keep = 3;
  options_.most_export_bytes = 25;  // two exports of 10
  start();
  std::string last;
  for (int i = 0; i < 5; ++i) {
    last = jobs_->ask(files()).value();
    EXPECT_EQ(ended(last).state, JobState::kDone);
  }
  EXPECT_TRUE(test::wait_until([&] { return !exists("jobs/2"); }));
  EXPECT_EQ(jobs_->list().size(), 3U);
  EXPECT_EQ(jobs_->list().front().id, last);
  EXPECT_FALSE(jobs_->find("1"));
  EXPECT_TRUE(jobs_->find("3")->files.empty());
  EXPECT_TRUE(test::wait_until([&] { return !exists("jobs/3/files"); }));
  EXPECT_TRUE(exists("jobs/3"));
  EXPECT_EQ(jobs_->find("4")->files.size(), 2U);
}

TEST_F(JobsKeptTest, AStateThatTheDiskRefusesIsWrittenLater) {
  write("locate.sh", kHang);
  start();
  const std::string id = jobs_->ask(solve()).value();
  wait_running(id);
  std::filesystem::create_directory(folder_ / "jobs/1/state.json.part");
  ASSERT_TRUE(jobs_->cancel(id, "kim"));
  EXPECT_EQ(ended(id).state, JobState::kCancelled);
  EXPECT_TRUE(test::wait_until(
      [&] { return log_.count("the state of a job cannot be written") > 0; }));
  std::filesystem::remove(folder_ / "jobs/1/state.json.part");
  EXPECT_NE(text("jobs/1/state.json").find("running"), std::string::npos);
  clock_.advance(61);
  EXPECT_TRUE(test::wait_until([&] {
    return text("jobs/1/state.json").find("cancelled") != std::string::npos;
  }));
}

}  // namespace
}  // namespace stillpoint::station
