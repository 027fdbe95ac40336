#include "stillpoint/station/job_document.h"

#include <gtest/gtest.h>

#include "stillpoint/station/job_folders.h"
#include "stillpoint/station/job_words.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

GnssTime at(double s) {
  return parse_time("2026-06-02").value() + Duration{s};
}

JobView job() {
  JobView view;
  view.id = "12";
  view.asked = at(5);
  JobRequest& r = view.request;
  r.kind = JobKind::kExport;
  r.by = "mara";
  r.start = at(0);
  r.end = at(3600.5);
  r.format = "4.02";
  r.interval_s = 0.5;
  r.hatanaka = true;
  return view;
}

// kind: cross   source: written and read again
TEST(JobDocument, IsReadAsItWasWritten) {
  JobView view = job();
  view.state = JobState::kFailed;
  view.started = at(6);
  view.ended = at(7);
  view.what = "a \"what\"";
  view.why = "why\n";
  view.record = 3;
  view.report = true;
  view.products = "AAA0OPSFIN";
  view.files = {{"a", 1}, {"b", 2}};
  const auto read = parse_job(request_text(view), state_text(view));
  ASSERT_TRUE(read) << read.error().text();
  EXPECT_EQ(request_text(*read), request_text(view));
  EXPECT_EQ(state_text(*read), state_text(view));
  EXPECT_EQ(read->request.end, view.request.end);
  EXPECT_EQ(read->request.interval_s, 0.5);
  EXPECT_EQ(read->files, view.files);
  EXPECT_EQ(read->record, 3);
}

TEST(JobDocument, WithoutAStateItWaits) {
  EXPECT_EQ(parse_job(request_text(job()), "")->state, JobState::kWaiting);
}

TEST(JobDocument, OfAnotherKindIsRefusedWhateverItHolds) {
  for (const char* text : {"",
                           "[]",
                           "{}",
                           "null",
                           R"({"id":12,"kind":"solve"})",
                           R"({"id":"1","kind":[],"method":{},"start":7})"}) {
    EXPECT_FALSE(parse_job(text, "")) << text;
  }
  // A damaged state is no state.
  const auto read =
      parse_job(request_text(job()),
                R"({"state":5,"files":[1,{"name":2}],"record":"x"})");
  ASSERT_TRUE(read);
  EXPECT_EQ(read->state, JobState::kWaiting);
  EXPECT_TRUE(read->files.empty());
}

// kind: cross   source: written and read again
TEST(JobDocument, TheMemoryIsReadAsItWasWritten) {
  JobMemory memory;
  remember_growth(memory, at(3600));
  PlannedJob day;
  day.request.start = at(0);
  remember_try(memory, day, at(90'000));
  remember_day(memory, at(86'400), "AAA0OPSRAP");
  remember_day(memory, at(86'400), "BBB0OPSFIN");
  day.fetch = true;
  remember_try(memory, day, at(95'000));
  const auto read = parse_memory(memory_text(memory));
  ASSERT_TRUE(read);
  EXPECT_EQ(*read, memory);
  EXPECT_EQ(read->days.at(at(86'400)).best, fetch::Quality::kFinal);
  EXPECT_FALSE(parse_memory("7"));
}

TEST(JobNumber, IsOnlyWhatWeWriteOurselves) {
  EXPECT_EQ(job_number("12"), 12U);
  for (const char* id : {"",
                         "0",
                         "012",
                         "-1",
                         "+1",
                         " 1",
                         "1 ",
                         "1.0",
                         "../1",
                         "1/..",
                         "x",
                         "99999999999999999999"}) {
    EXPECT_FALSE(job_number(id)) << id;
  }
}

TEST(ExportWords, AreThoseOfTheRequest) {
  const auto words =
      export_words(job().request, "/s.toml", "files", std::nullopt);
  const std::vector<std::string> expected{"export",
                                          "--config",
                                          "/s.toml",
                                          "--start",
                                          format_utc(at(0)),
                                          "--end",
                                          format_utc(at(3600.5)),
                                          "--out",
                                          "files",
                                          "--json",
                                          "--format",
                                          "4.02",
                                          "--interval",
                                          "0.5",
                                          "--hatanaka"};
  EXPECT_EQ(words, expected);
}

TEST(ReceivedApart, IsOnlyToldWhereTheClocksWereApart) {
  std::vector<RecordedSpan> spans{{at(0), at(3600), at(1), at(3599)},
                                  {at(3600), at(7200), at(3600), at(7199)}};
  EXPECT_FALSE(received_apart(spans, at(0), at(7200)));
  spans.push_back({at(1e6), at(1e6 + 9), at(7200), at(20'000)});
  EXPECT_FALSE(received_apart(spans, at(0), at(7200)));
  const auto apart = received_apart(spans, at(7100), at(8000));
  ASSERT_TRUE(apart);
  EXPECT_EQ(apart->received_from, at(3600));
  EXPECT_EQ(apart->received_to, at(1e6 + 9));
}

}  // namespace
}  // namespace stillpoint::station
