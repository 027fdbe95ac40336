#include "stillpoint/archive/recorder.h"

#include <gtest/gtest.h>
#include <zstd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "stillpoint/archive/archive_test_support.h"
#include "stillpoint/archive/block_source.h"
#include "stillpoint/archive/segment_scan.h"

namespace stillpoint::archive {
namespace {

std::size_t count_of(const Station& station, ArchiveEventKind kind) {
  return static_cast<std::size_t>(std::count_if(
      station.events.begin(), station.events.end(), [&](const ArchiveEvent& e) {
        return e.kind == kind;
      }));
}

TEST(Recorder, BytesAreAcknowledgedWithinTenSeconds) {
  FakeFileSystem files;
  Station station(files, half_a_minute_before_noon());
  ASSERT_TRUE(station.open());
  std::vector<std::uint64_t> ends;
  for (int i = 0; i < 60; ++i) {
    station.second(500);
    ends.push_back(station.recorder->end_offset());
    if (ends.size() > 10) {
      EXPECT_GE(station.recorder->durable_offset(), ends[ends.size() - 11]);
    }
  }
  EXPECT_EQ(station.announced_too_early, "");
}

// What came at once is not cut at a page: its rest would be due a second later.
TEST(Recorder, ABurstIsOneCommit) {
  FakeFileSystem files;
  Station station(files, utc(2026, 11, 25, 12, 0, 0));
  ASSERT_TRUE(station.open());
  std::size_t syncs = 0;
  files.on_sync = [&] { ++syncs; };
  for (int i = 0; i < 200; ++i) {
    station.second(i % 20 == 0 ? 7500 : 0);
  }
  EXPECT_EQ(syncs, 10U + 1);  // one is of the note of the segment
  EXPECT_EQ(station.recorder->durable_offset(), 75'000U);
}

TEST(Recorder, NothingIsWrittenWithoutBytes) {
  FakeFileSystem files;
  Station station(files, half_a_minute_before_noon());
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 4000; ++i) {
    station.second(0);
  }
  EXPECT_TRUE(station.close());
  EXPECT_TRUE(files.paths().empty());
}

TEST(Recorder, ASilentStreamStillClosesItsHour) {
  FakeFileSystem files;
  Station station(files, half_a_minute_before_noon());
  ASSERT_TRUE(station.open());
  station.second(500);
  for (int i = 0; i < 40; ++i) {
    station.second(0);
  }
  EXPECT_EQ(count_of(station, ArchiveEventKind::kClosed), 1U);
}

TEST(Recorder, TheClosingHoldsTagsCountsTimesAndTheNextLinksBack) {
  FakeFileSystem files;
  Station station(files, half_a_minute_before_noon());
  ASSERT_TRUE(station.open());
  ASSERT_TRUE(station.recorder->set_tag("antenna", "SPDEMO-A1 NONE"));
  ASSERT_TRUE(station.recorder->add_count("frames", 3));
  ASSERT_TRUE(station.recorder->add_count("frames", 4));
  EXPECT_FALSE(station.recorder->set_tag("long", std::string(40000, 'x')));
  for (int i = 0; i < 60; ++i) {
    station.second(500);
  }
  ASSERT_TRUE(station.close());
  const auto eleven = open_blocks(files, "raw/2026/329/11.seg");
  const auto twelve = open_blocks(files, "raw/2026/329/12.seg");
  ASSERT_TRUE(eleven && twelve);
  const SegmentFacts first = read_facts(**eleven);
  const SegmentFacts second = read_facts(**twelve);
  ASSERT_TRUE(first.closing && second.opening && second.closing);
  EXPECT_EQ(first.closing->tags.at("antenna"), "SPDEMO-A1 NONE");
  EXPECT_EQ(first.closing->counts.at("frames"), 7U);
  EXPECT_TRUE(second.closing->tags.empty());
  EXPECT_EQ(first.closing->first_time, utc(2026, 11, 25, 11, 59, 31));
  EXPECT_EQ(first.closing->last_time, utc(2026, 11, 25, 11, 59, 59));
  EXPECT_EQ(first.closing->end_offset, 29U * 500);
  EXPECT_EQ(second.opening->offset, 29U * 500);
  EXPECT_EQ(second.opening->previous.end, PreviousEnd::kClosed);
  EXPECT_EQ(second.opening->previous.digest, first.closing->digest);
  EXPECT_EQ(second.opening->previous.path, "2026/329/11.seg");
}

TEST(Recorder, AFullCardDropsTheOldestAndSaysExactlyWhich) {
  FakeFileSystem files;
  Station station(files, half_a_minute_before_noon());
  station.options.most_pending = 20000;
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 10; ++i) {
    station.second(500);
  }
  files.fail_at(0, FaultKind::kNoSpace, true);
  for (int i = 0; i < 100; ++i) {
    station.second(500);
    ASSERT_LE(station.recorder->end_offset() -
                  station.recorder->durable_offset() -
                  station.recorder->dropped_bytes(),
              20000U);
  }
  files.repair();
  for (int i = 0; i < 20; ++i) {
    station.second(500);
  }
  const std::uint64_t dropped = station.recorder->dropped_bytes();
  ASSERT_TRUE(station.close());
  EXPECT_GT(dropped, 20000U);
  EXPECT_EQ(count_of(station, ArchiveEventKind::kDropping), 1U);
  ASSERT_EQ(count_of(station, ArchiveEventKind::kDropped), 1U);
  const Collected all = read_all(files);
  ASSERT_EQ(all.gaps.size(), 1U);
  EXPECT_EQ(all.gaps[0].reason, GapReason::kDropped);
  EXPECT_EQ(all.gaps[0].to - all.gaps[0].from, dropped);
  EXPECT_EQ(all.byte_count() + dropped, 130U * 500);
  EXPECT_EQ(station.verdict(files), "");
}

TEST(Recorder, AfterAKillTheStartSaysWhatWasLost) {
  FakeFileSystem files(3);
  Station station(files, half_a_minute_before_noon());
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 25; ++i) {
    station.second(500);
  }
  const std::uint64_t safe = station.recorder->durable_offset();
  station.kill();
  files.restart();
  station.set_time(utc(2026, 11, 25, 12, 30, 0));
  ASSERT_TRUE(station.open());
  ASSERT_EQ(count_of(station, ArchiveEventKind::kLost), 1U);
  const Gap lost = *station.events[0].range;
  EXPECT_EQ(lost.reason, GapReason::kInterrupted);
  EXPECT_EQ(lost.from, safe);
  EXPECT_EQ(lost.to, safe);
  EXPECT_EQ(lost.first_after, utc(2026, 11, 25, 12, 30, 0));
  EXPECT_EQ(lost.last_before,
            utc(2026,
                11,
                25,
                11,
                59,
                30 + std::ceil(static_cast<double>(safe) / 500)));
  station.second(500);
  ASSERT_TRUE(station.close());
  const Collected all = read_all(files);
  ASSERT_EQ(all.gaps.size(), 1U);
  EXPECT_EQ(all.gaps[0].from, safe);
  EXPECT_EQ(all.gaps[0].reason, GapReason::kInterrupted);
}

TEST(Recorder, AReaderSeesWhatIsWrittenSoFar) {
  FakeFileSystem files;
  Station station(files, half_a_minute_before_noon());
  ASSERT_TRUE(station.open());
  for (int i = 0; i < 50; ++i) {
    station.second(5000);
    const Collected all = read_all(files);
    EXPECT_EQ(all.byte_count(), station.recorder->durable_offset());
    EXPECT_TRUE(all.gaps.empty());
  }
}

// Against the stream compressed as a whole (zstd 3).
// kind: cross   tolerance: 1.2 is the budget of bytes written to the card
TEST(Recorder, WritesLittleMoreThanTheCompressedStream) {
  FakeFileSystem files;
  Station station(files, utc(2026, 11, 25, 10, 0, 0));
  auto recorder = Recorder::open(
      files, station.options, station.now(), [](const ArchiveEvent&) {});
  ASSERT_TRUE(recorder);
  std::uint64_t noise = 42;
  std::vector<std::uint8_t> stream;
  for (int i = 0; i < 3600; ++i) {
    const auto bytes = receiver_like(1500, noise);
    stream.insert(stream.end(), bytes.begin(), bytes.end());
    (*recorder)->append(
        bytes,
        GnssTime::from_ns(station.now().ns() + i * kSecond + 123'456'789));
  }
  ASSERT_TRUE((*recorder)->close(station.now()));
  std::vector<char> whole(ZSTD_compressBound(stream.size()));
  const std::size_t size = ZSTD_compress(
      whole.data(), whole.size(), stream.data(), stream.size(), 3);
  const double ratio =
      static_cast<double>(files.bytes_written()) / static_cast<double>(size);
  const double pages =
      static_cast<double>(files.page_bytes()) / static_cast<double>(size);
  std::printf("stream %zu, compressed %zu, written %.3f x, pages %.3f x\n",
              stream.size(),
              size,
              ratio,
              pages);
  EXPECT_LT(ratio, 1.2);
  EXPECT_LT(pages, 1.2);
  EXPECT_EQ(read_all(files).byte_count(), stream.size());
}

}  // namespace
}  // namespace stillpoint::archive
