// What a recording lacks, and what is said about it.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "stillpoint/intake/export/export_archive.h"
#include "stillpoint/intake/export/export_test_support.h"

namespace stillpoint::intake {
namespace {

using namespace export_test;

TEST(ExportArchive, AGapOfTheRecordingIsAGapOfTheFile) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 60);
  recording.break_off();
  recording.add_epochs(base, kTen + Duration{300}, 5);
  const Exported done = exported(recording, request());
  ASSERT_EQ(done.answer.gaps.size(), 1U);
  EXPECT_EQ(done.answer.gaps[0].reason, archive::GapReason::kInterrupted);
  const ReadBack back = done.observations(kDayName);
  ASSERT_EQ(back.epochs.size(), 65U);
  EXPECT_EQ((back.epochs[60].time - back.epochs[59].time).s, 241);
  for (const Epoch& epoch : back.epochs) {
    EXPECT_EQ(epoch.flag, EpochFlag::kOk);
  }
  EXPECT_NE(done.files.at(kDayName).find("10:00:59 to 10:05:00: interrupted"),
            std::string::npos);
}

TEST(ExportArchive, DamageIsSaidAndStopsNothing) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 600);
  recording.close();
  {
    const std::string path = recording.segments().at(0);
    std::fstream file(path, std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(static_cast<std::streamoff>(std::filesystem::file_size(path)) /
               2);
    file.write("damage", 6);
  }
  const Exported done = exported(recording, request());
  EXPECT_TRUE(done.warns("segments_damaged"));
  ASSERT_EQ(done.answer.gaps.size(), 1U);
  EXPECT_EQ(done.answer.gaps[0].reason, archive::GapReason::kDamaged);
  const std::size_t epochs = done.observations(kDayName).epochs.size();
  EXPECT_GT(epochs, 100U);
  EXPECT_LT(epochs, 600U);
}

TEST(ExportArchive, WithoutEpochsOfTheSpanItSaysWhatThereIs) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 5);
  ExportRequest r = request();
  r.span.start = kTen + Duration{60};
  const auto answer = tried(recording, r);
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().code, ErrorCode::kNoData);
  EXPECT_NE(answer.error().what.find("2026-06-02T09:59:42Z"), std::string::npos)
      << answer.error().what;
}

TEST(ExportArchive, BytesWithoutObservationsAreNoData) {
  Recording recording;
  recording.add(PaperBase::position(kArp, {}), kTen);
  const auto answer = tried(recording, request());
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().code, ErrorCode::kNoData);
}

TEST(ExportArchive, ACoordinateThatMovedIsSaid) {
  Recording recording;
  PaperBase base;
  recording.add(PaperBase::position(kArp, 0.25), kTen);
  recording.add_epochs(base, kTen, 3);
  recording.add(PaperBase::position(kArp + Ecef{0.018, 0, 0}, 0.25),
                kTen + Duration{3});
  recording.add_epochs(base, kTen + Duration{3}, 3);
  EXPECT_TRUE(exported(recording, request()).warns("position_changed"));
}

TEST(ExportArchive, AFileThatCannotBeWrittenEndsIt) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 3);
  recording.close();
  const auto answer = export_archive(
      recording.files(),
      recording.root(),
      request(),
      [](const std::string& name) -> Result<std::unique_ptr<ByteSink>> {
        return fail(ErrorCode::kIo, "no room", name);
      },
      {});
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().where, kDayName);
}

// The station goes on recording; the second pass meets bytes, and even hours,
// that the first did not see.
TEST(ExportArchive, WhatComesWhileItIsWrittenIsLeftOut) {
  Recording recording;
  PaperBase base;
  recording.add_epochs(base, kTen, 60);
  std::map<std::string, std::string> files;
  const auto answer = export_archive(
      recording.files(),
      recording.root(),
      request(),
      [&](const std::string& name) -> Result<std::unique_ptr<ByteSink>> {
        recording.add_epochs(base, kTen + Duration{60}, 60);
        recording.add_epochs(base, kTen + Duration{86'400}, 30);
        return memory_sink(files[name]);
      },
      {});
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_EQ(files.size(), 1U);
  // What was not on the disk yet was not there.
  EXPECT_GT(answer->files.at(0).records, 30U);
  EXPECT_LE(answer->files.at(0).records, 60U);
}

}  // namespace
}  // namespace stillpoint::intake
