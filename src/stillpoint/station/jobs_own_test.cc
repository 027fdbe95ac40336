// What the station computes by itself, and which data it takes for it.
#include "stillpoint/station/jobs_test_support.h"

namespace stillpoint::station {
namespace {

using test::at;
using test::files;
using test::kExport;
using test::solve;

class JobsOwnTest : public test::JobsTest {};

TEST_F(JobsOwnTest, AGrowingPositionComesByItself) {
  config_.solve.growth = true;
  options_.recorded = [] {
    return RecordedFacts{{{at(0), at(7300), at(0), at(7300)}}, 0, {}};
  };
  start();
  EXPECT_TRUE(test::wait_until([&] { return !jobs_->list().empty(); }));
  const JobView view = ended("1");
  EXPECT_EQ(view.state, JobState::kDone) << view.why;
  EXPECT_EQ(view.request.kind, JobKind::kGrowth);
  EXPECT_EQ(view.request.end, at(7200));
  EXPECT_TRUE(stored_.at(0).starts_with("station: "));
  EXPECT_NE(jobs_->note().find("Only positions of the codes"),
            std::string::npos);
  end();
  start();  // knows that it has been done
  clock_.advance(11);
  const std::string id = jobs_->ask(files()).value();
  ended(id);
  EXPECT_EQ(jobs_->list().size(), 2U);
}

TEST_F(JobsOwnTest, ADayIsKeptOnceForEachLineOfProducts) {
  config_.solve.day = true;
  fill_shelf("AAA0OPSRAP");
  options_.recorded = [] {
    return RecordedFacts{{{at(0), at(90'000), at(0), at(90'000)}}, 0, {}};
  };
  write("locate.sh", R"(
line=$(grep -o 'AAA0OPS...' locate.json | head -1)
echo '{"status":"converged","why":"","method":"ppp-float","position":{},"inputs":[
 {"path":"/x/'$line'_20261530000_01D_15M_ORB.SP3"}]}' > record.json
)");
  start();
  EXPECT_TRUE(test::wait_until([&] { return !jobs_->list().empty(); }));
  EXPECT_EQ(ended("1").products, "AAA0OPSRAP");
  clock_.advance(11);
  ended(jobs_->ask(files()).value());
  EXPECT_EQ(jobs_->list().size(), 2U);
  fill_shelf("AAA0OPSFIN");
  clock_.advance(11);
  EXPECT_TRUE(test::wait_until([&] { return jobs_->list().size() == 3; }));
  EXPECT_EQ(ended("3").products, "AAA0OPSFIN");
  EXPECT_EQ(stored_.size(), 2U);
  EXPECT_NE(text("jobs/memory.json").find("AAA0OPSFIN"), std::string::npos);
}

TEST_F(JobsOwnTest, ARecordingThatIsPlayedIsFoundByItsReception) {
  write("export.sh", "echo \"$@\" > words\n" + std::string(kExport));
  options_.recorded = [] {
    return RecordedFacts{{{at(1e7), at(1e7 + 60), at(0), at(7300)}}, 0, {}};
  };
  start();
  ended(jobs_->ask(solve()).value());
  const std::string words = text("jobs/1/words");
  EXPECT_NE(words.find("--received-start " + format_utc(at(1e7))),
            std::string::npos)
      << words;
}

}  // namespace
}  // namespace stillpoint::station
