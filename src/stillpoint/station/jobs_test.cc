#include "stillpoint/station/jobs.h"

#include "stillpoint/station/jobs_test_support.h"

namespace stillpoint::station {
namespace {

using test::files;
using test::kExport;
using test::kHang;
using test::kLocate;
using test::solve;

using test::JobsTest;

TEST_F(JobsTest, ASolveIsExportedComputedAndKept) {
  start();
  const auto id = jobs_->ask(solve());
  ASSERT_TRUE(id);
  EXPECT_EQ(*id, "1");
  const JobView view = ended(*id);
  EXPECT_EQ(view.state, JobState::kDone) << view.why;
  EXPECT_EQ(view.record, 41);
  EXPECT_EQ(view.what, "A position from 1.0 hours of data (code).");
  EXPECT_EQ(view.products, "broadcast");
  ASSERT_EQ(stored_.size(), 1U);
  EXPECT_TRUE(stored_[0].starts_with("mara: {\"status\":\"converged\""));
  EXPECT_EQ(text("jobs/1/report.html"), "page\n");
  EXPECT_EQ(jobs_->report("1"), folder_ / "jobs/1/report.html");
  EXPECT_EQ(jobs_->log("1"), folder_ / "jobs/1/log.txt");
  EXPECT_FALSE(exists("jobs/1/work"));
  const std::string job = text("jobs/1/locate.json");
  EXPECT_NE(job.find("work/day.crx.gz"), std::string::npos) << job;
  EXPECT_NE(job.find("\"method\": \"code\""), std::string::npos) << job;
  // Started and ended.
  EXPECT_EQ(chronicle_.facts().entries_waiting, 2U);
}

TEST_F(JobsTest, AnExportsFilesAreListedAndNothingElseIsGiven) {
  start();
  const std::string id = jobs_->ask(files()).value();
  const JobView view = ended(id);
  EXPECT_EQ(view.state, JobState::kDone) << view.why;
  EXPECT_EQ(view.files,
            (std::vector<JobFile>{{"day.crx.gz", 5}, {"day.rnx.gz", 5}}));
  EXPECT_EQ(jobs_->file(id, "day.crx.gz"), folder_ / "jobs/1/files/day.crx.gz");
  for (const char* name : {"",
                           ".",
                           "../job.json",
                           "../../../station.db",
                           "/etc/passwd",
                           "files/day.crx.gz",
                           "./day.crx.gz"}) {
    EXPECT_FALSE(jobs_->file(id, name)) << name;
  }
  for (const char* other : {"", "..", "../jobs/1", "01", "1/", "2", "-1"}) {
    EXPECT_FALSE(jobs_->find(other)) << other;
    EXPECT_FALSE(jobs_->log(other)) << other;
    EXPECT_FALSE(jobs_->file(other, "day.crx.gz")) << other;
  }
  EXPECT_FALSE(jobs_->report(id));
}

TEST_F(JobsTest, ASolveThatDoesNotConvergeFailsWithItsReasonAndReport) {
  write("locate.sh", R"(
echo '{"status":"not_converged","why":"too short","method":"code","position":{}}' > record.json
echo page > report.html
exit 1
)");
  start();
  const JobView view = ended(jobs_->ask(solve()).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_EQ(view.why, "too short");
  EXPECT_TRUE(view.report);
  EXPECT_FALSE(view.record);
  EXPECT_TRUE(stored_.empty());
}

TEST_F(JobsTest, WhatAVerbSaysOfItsErrorIsTheReason) {
  write("export.sh", R"(
echo '{"error":{"code":"no_data","what":"no epoch of these times","where":"/raw","remedy":"give others"}}'
exit 3
)");
  start();
  const JobView view = ended(jobs_->ask(files()).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_EQ(view.why, "/raw: no epoch of these times; give others");
  EXPECT_FALSE(exists("jobs/1/files"));
}

TEST_F(JobsTest, ACrashIsToldWithTheLimitsAndTheLastWords) {
  write("locate.sh", "echo last words >&2\nkill -9 $$\n");
  start();
  const JobView view = ended(jobs_->ask(solve()).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_NE(view.why.find("signal 9"), std::string::npos) << view.why;
  EXPECT_NE(view.why.find("300 MB"), std::string::npos) << view.why;
  EXPECT_NE(view.why.find("last words"), std::string::npos) << view.why;
}

TEST_F(JobsTest, ADiskThatIsFullInTheMiddleIsTold) {
  write("locate.sh",
        "dd if=/dev/zero of=/dev/full bs=1 count=1 status=none || exit 4\n");
  start();
  const JobView view = ended(jobs_->ask(solve()).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_NE(view.why.find("locate ended with 4"), std::string::npos);
  EXPECT_NE(view.why.find("No space left"), std::string::npos) << view.why;
}

TEST_F(JobsTest, ADiskThatIsNearlyFullIsLeftToTheRecording) {
  std::atomic<std::uint64_t> free = std::uint64_t{255} << 20U;
  options_.free_bytes = [&] { return std::optional<std::uint64_t>(free); };
  write("locate.sh", kHang);
  start();
  JobView view = ended(jobs_->ask(solve()).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_NE(view.why.find("only 255 MB are free"), std::string::npos);
  free = std::uint64_t{300} << 20U;
  const std::string id = jobs_->ask(solve()).value();
  wait_running(id);
  free = 0;
  clock_.advance(1);
  view = ended(id);
  EXPECT_NE(view.why.find("only 0 MB are free"), std::string::npos);
  end();
}

TEST_F(JobsTest, AFolderThatCannotBeMadeFailsTheJobAndNotTheThread) {
  open();
  write("jobs/1", "in the way");
  start();
  const JobView view = ended(jobs_->ask(solve()).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_FALSE(view.why.empty());
  EXPECT_EQ(ended(jobs_->ask(solve()).value()).state, JobState::kDone);
}

TEST_F(JobsTest, TakesNoAnswerOnTrust) {
  start();
  for (const char* answer : {"",
                             "[]",
                             "{\"files\":7}",
                             "{\"files\":[{\"path\":1}]}",
                             "{\"files\":[]}",
                             "\xff\xfe"}) {
    write("export.sh", "cat '" + (folder_ / "answer") + "'\n");
    write("answer", answer);
    const JobView view = ended(jobs_->ask(solve()).value());
    EXPECT_EQ(view.state, JobState::kFailed) << answer;
  }
  write("export.sh", kExport);
  write("locate.sh", "echo '{\"status\":5}' > record.json\n");
  EXPECT_EQ(ended(jobs_->ask(solve()).value()).state, JobState::kFailed);
  write("locate.sh", "echo '{\"status\":\"converged\"}' > record.json\n");
  EXPECT_EQ(ended(jobs_->ask(solve()).value()).state, JobState::kFailed);
  EXPECT_TRUE(stored_.empty());
}

TEST_F(JobsTest, ARecordThatCannotBeKeptFailsTheJob) {
  options_.store = [](const std::string& /*document*/,
                      JobKind /*kind*/,
                      const std::string& /*by*/) -> Result<std::int64_t> {
    return fail(ErrorCode::kIo, "disk");
  };
  start();
  const JobView view = ended(jobs_->ask(solve()).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_EQ(view.why, "the position cannot be kept: disk");
  EXPECT_TRUE(view.report);
}

TEST_F(JobsTest, PhasesAreTriedFirstAndCodesWhereTheyFail) {
  fill_shelf("AAA0OPSFIN");
  write("locate.sh", R"(
grep -q '"method": "ppp"' locate.json && {
  grep -c AAA0OPSFIN locate.json > tried
  echo '{"error":{"code":"bad_format","what":"no orbit file"}}'
  exit 3
}
)" + std::string(kLocate));
  start();
  const JobView view = ended(jobs_->ask(solve()).value());
  EXPECT_EQ(view.state, JobState::kDone) << view.why;
  EXPECT_EQ(text("jobs/1/tried"), "2\n");
  EXPECT_NE(text("jobs/1/log.txt").find("no orbit file"), std::string::npos);
  const JobView alone = ended(jobs_->ask(solve(JobMethod::kPpp)).value());
  EXPECT_EQ(alone.state, JobState::kFailed);
  EXPECT_EQ(alone.why, "no orbit file");
}

TEST_F(JobsTest, PhasesWithoutProductsSayWhatIsMissing) {
  start();
  const JobView view = ended(jobs_->ask(solve(JobMethod::kPpp)).value());
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_NE(view.why.find("no orbits and clocks"), std::string::npos);
}

TEST_F(JobsTest, WhatWaitsAndWhatRunsCanBeCancelled) {
  write("locate.sh", kHang);
  start();
  const std::string running = jobs_->ask(solve()).value();
  const std::string waiting = jobs_->ask(solve()).value();
  wait_running(running);
  EXPECT_EQ(jobs_->at_work()->id, running);
  ASSERT_TRUE(jobs_->cancel(waiting, "kim"));
  EXPECT_EQ(jobs_->find(waiting)->state, JobState::kCancelled);
  EXPECT_EQ(jobs_->find(waiting)->why, "cancelled by kim");
  ASSERT_TRUE(jobs_->cancel(running, "kim"));
  const JobView view = ended(running);
  EXPECT_EQ(view.state, JobState::kCancelled);
  EXPECT_EQ(view.why, "cancelled by kim");
  EXPECT_FALSE(exists("jobs/1/work"));
  EXPECT_EQ(jobs_->cancel(running, "kim").error().code, ErrorCode::kUsage);
  EXPECT_EQ(jobs_->cancel("77", "kim").error().code, ErrorCode::kNoData);
  EXPECT_FALSE(jobs_->at_work());
}

TEST_F(JobsTest, WhatTakesTooLongIsEnded) {
  write("locate.sh", kHang);
  start();
  const std::string id = jobs_->ask(solve()).value();
  wait_running(id);
  clock_.advance(61 * 60);
  const JobView view = ended(id);
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_NE(view.why.find("longer than 60 min"), std::string::npos);
}

TEST_F(JobsTest, WhatGrowsTooLargeIsEnded) {
  options_.most_export_bytes = 1000;
  write("export.sh",
        "head -c 3000 /dev/zero > files/big\ntouch work/began\n"
        "exec sleep 600\n");
  start();
  const std::string id = jobs_->ask(files()).value();
  wait_running(id);
  clock_.advance(1);
  const JobView view = ended(id);
  EXPECT_EQ(view.state, JobState::kFailed);
  EXPECT_NE(view.why.find("grew beyond"), std::string::npos) << view.why;
  EXPECT_FALSE(exists("jobs/1/files"));
}

// As after a loss of power: the state says that it runs.

TEST_F(JobsTest, ProgressIsTheShareThatWasRead) {
  write("locate.sh",
        "printf '50 reading\\n' > \"$STILLPOINT_PROGRESS\"\n" +
            std::string(kHang));
  start();
  const std::string id = jobs_->ask(solve()).value();
  wait_running(id);
  clock_.advance(1);
  EXPECT_TRUE(
      test::wait_until([&] { return jobs_->find(id)->progress.has_value(); }));
  EXPECT_EQ(jobs_->find(id)->progress, 0.25);  // of 200 epochs
  EXPECT_EQ(jobs_->find(id)->step, "solve");
}

TEST_F(JobsTest, RefusesWhatCannotBe) {
  options_.most_waiting = 2;
  open();
  JobRequest request = solve();
  request.end = request.start;
  EXPECT_EQ(jobs_->ask(request).error().where, "end");
  request.end = request.start + Duration{32 * 86'400.0};
  EXPECT_EQ(jobs_->ask(request).error().where, "end");
  request = files();
  request.format = "9.99";
  EXPECT_EQ(jobs_->ask(request).error().where, "format");
  request = files();
  request.interval_s = 7;
  EXPECT_EQ(jobs_->ask(request).error().where, "interval_s");
  request = solve();
  request.kind = JobKind::kGrowth;
  EXPECT_EQ(jobs_->ask(request).error().where, "kind");
  EXPECT_TRUE(jobs_->ask(solve()));
  EXPECT_TRUE(jobs_->ask(solve()));
  EXPECT_EQ(jobs_->ask(solve()).error().code, ErrorCode::kTooLarge);
}

}  // namespace
}  // namespace stillpoint::station
