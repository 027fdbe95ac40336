// Half a recorded minute over an hour's change, with a failure at every call.
#include <gtest/gtest.h>

#include <cstdio>
#include <string>

#include "stillpoint/archive/archive_test_support.h"

namespace stillpoint::archive {
namespace {

constexpr FaultKind kFaults[] = {FaultKind::kDevice,
                                 FaultKind::kNoSpace,
                                 FaultKind::kShortWrite,
                                 FaultKind::kInterrupted,
                                 FaultKind::kSyncFails,
                                 FaultKind::kPowerCut,
                                 FaultKind::kReadOnly};
constexpr std::size_t kSpan = 30;

GnssTime start() {
  return utc(2026, 11, 25, 11, 59, 45);
}

// False where the recorder did not open.
bool record(Station& station, FakeFileSystem& files, std::size_t seconds) {
  for (int i = 0; i < 3 && !station.recorder && !files.off(); ++i) {
    station.open();
  }
  if (!station.recorder) {
    return false;
  }
  for (std::size_t i = 0; i < seconds && !files.off(); ++i) {
    station.second(700);
  }
  if (!files.off()) {
    static_cast<void>(station.close());
  }
  station.kill();
  return true;
}

std::vector<CallKind> undisturbed_calls() {
  FakeFileSystem files;
  Station station(files, start());
  EXPECT_TRUE(record(station, files, kSpan));
  std::vector<CallKind> calls = files.calls();
  EXPECT_EQ(station.verdict(files), "");
  EXPECT_EQ(station.announced_too_early, "");
  EXPECT_GT(station.announcements, 2U);
  EXPECT_EQ(read_all(files).byte_count(), 700U * kSpan);
  return calls;
}

// The station's second life on the card as it is now: all that was acknowledged
// is there, and recording goes on.
void expect_good_afterlife(Station& station,
                           FakeFileSystem& files,
                           const std::string& what) {
  ASSERT_EQ(station.announced_too_early, "") << what;
  const std::uint64_t before = read_all(files).end.offset;
  ASSERT_TRUE(record(station, files, 15)) << what;
  ASSERT_EQ(station.announced_too_early, "") << what;
  ASSERT_EQ(station.verdict(files), "") << what;
  ASSERT_GE(read_all(files).end.offset, before + std::uint64_t{700} * 15)
      << what;
}

TEST(EveryFault, AtEveryCallCostsNothingAcknowledged) {
  const auto calls = undisturbed_calls();
  std::size_t enumerated = 0, run = 0;
  for (const FaultKind fault : kFaults) {
    for (const CallKind call : calls) {
      enumerated += can_fail(call, fault) ? 2U : 0U;
    }
  }
  for (const FaultKind fault : kFaults) {
    for (std::size_t n = 0; n < calls.size(); ++n) {
      for (const bool lasting : {false, true}) {
        if (!can_fail(calls[n], fault)) {
          continue;
        }
        const std::string what =
            "fault " + std::to_string(static_cast<int>(fault)) + " at call " +
            std::to_string(n) + (lasting ? " for ever" : " once");
        FakeFileSystem files(1000 * n + static_cast<std::size_t>(fault));
        files.sync_failure.reads_old_content = n % 2 == 1;
        Station station(files, start());
        files.fail_at(n, fault, lasting);
        record(station, files, kSpan);
        ++run;
        if (fault == FaultKind::kPowerCut) {
          ASSERT_TRUE(files.off()) << what;
        }
        // After any of them the power goes as well, before all is synced.
        files.restart();
        ASSERT_NO_FATAL_FAILURE(expect_good_afterlife(station, files, what));
      }
    }
  }
  std::printf("fault points enumerated %zu, run %zu\n", enumerated, run);
  EXPECT_EQ(enumerated, run);
}

TEST(EveryFault, WithTheCardWellAgainEverythingIsWritten) {
  const auto calls = undisturbed_calls();
  for (const FaultKind fault : kFaults) {
    for (std::size_t n = 8; n < calls.size(); ++n) {
      if (!can_fail(calls[n], fault) || fault == FaultKind::kPowerCut) {
        continue;
      }
      FakeFileSystem files(n);
      Station station(files, start());
      ASSERT_TRUE(station.open());
      files.fail_at(n, fault, true);
      for (int i = 0; i < 20; ++i) {
        station.second(700);
      }
      files.repair();
      for (int i = 0; i < 20; ++i) {
        station.second(700);
      }
      ASSERT_TRUE(station.close());
      ASSERT_EQ(station.announced_too_early, "");
      ASSERT_EQ(station.verdict(files), "")
          << "fault " << static_cast<int>(fault) << " from call " << n;
      ASSERT_EQ(read_all(files).byte_count(), 700U * 40);
    }
  }
}

// A power cut at every call of recording, then one at every call of the start
// that repairs it, then a start that is left alone.
TEST(EveryFault, ASecondPowerCutAtEveryStepOfRecovery) {
  constexpr std::size_t kSeconds = 20;
  FakeFileSystem first;
  Station model(first, start());
  record(model, first, kSeconds);
  const std::size_t calls = first.calls().size();
  std::size_t enumerated = 0, run = 0;
  for (std::size_t n = 0; n < calls; ++n) {
    std::size_t steps = 1;
    for (std::size_t step = 0; step < steps; ++step) {
      FakeFileSystem files(n);
      Station station(files, start());
      files.fail_at(n, FaultKind::kPowerCut, false);
      record(station, files, kSeconds);
      files.restart();
      if (step == 0) {  // how many steps there are
        FakeFileSystem again(n);
        Station twin(again, start());
        again.fail_at(n, FaultKind::kPowerCut, false);
        record(twin, again, kSeconds);
        again.restart();
        ASSERT_TRUE(twin.open());
        steps = again.calls().size();
        enumerated += steps;
      }
      files.fail_at(step, FaultKind::kPowerCut, false);
      ASSERT_FALSE(station.open() && files.calls().size() < step);
      ASSERT_TRUE(files.off());
      station.kill();
      ++run;
      files.restart();
      ASSERT_NO_FATAL_FAILURE(expect_good_afterlife(
          station,
          files,
          "call " + std::to_string(n) + " step " + std::to_string(step)));
    }
  }
  std::printf("recovery points enumerated %zu, run %zu\n", enumerated, run);
  EXPECT_EQ(enumerated, run);
}

// The same with every failure that is no power cut.
TEST(EveryFault, AFailureAtEveryStepOfRecoveryIsSaidOrSurvived) {
  for (const FaultKind fault : kFaults) {
    for (std::size_t step = 0;; ++step) {
      FakeFileSystem files(7);
      Station station(files, start());
      ASSERT_TRUE(station.open());
      for (int i = 0; i < 25; ++i) {
        station.second(700);
      }
      station.kill();
      files.restart();
      if (fault == FaultKind::kPowerCut) {
        break;
      }
      files.fail_at(step, fault, false);
      station.open();
      station.kill();
      const bool past = files.calls().size() <= step;
      files.repair();
      ASSERT_NO_FATAL_FAILURE(
          expect_good_afterlife(station, files, std::to_string(step)));
      if (past) {
        break;
      }
    }
  }
}

}  // namespace
}  // namespace stillpoint::archive
