#include "stillpoint/api/health.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "stillpoint/api/api_test_support.h"

namespace stillpoint::api {
namespace {

using test::full_status;

TEST(StationChecks, AllAreGoodAndThereWhereAllIsWell) {
  std::string names;
  for (const Check& check : station_checks(full_status())) {
    EXPECT_TRUE(check.good) << check.name << ": " << check.why;
    EXPECT_EQ(check.why, "");
    names += check.name + " ";
  }
  EXPECT_EQ(names,
            "receiver archive disk rovers decode store clock threads config "
            "certificate ");
}

// Each change spoils exactly the check named, with these words.
TEST(StationChecks, EachTroubleIsSaidByItsOwnCheck) {
  using Change = std::function<void(StationStatus&)>;
  const struct {
    const char* name;
    const char* why;
    Change change;
  } cases[] = {
      {"receiver",
       "waiting: the device is gone",
       [](auto& s) {
         s.receiver.state = ReceiverState::kWaiting;
         s.receiver.why = "the device is gone";
       }},
      {"receiver",
       "silent",
       [](auto& s) { s.receiver.state = ReceiverState::kSilent; }},
      {"receiver",
       "opening",
       [](auto& s) { s.receiver.state = ReceiverState::kOpening; }},
      {"receiver",
       "ended",
       [](auto& s) { s.receiver.state = ReceiverState::kEnded; }},
      {"receiver",
       "open, and nothing has come yet",
       [](auto& s) { s.receiver.last_byte_age_s.reset(); }},
      {"receiver",
       "nothing came for 11 s",
       [](auto& s) { s.receiver.last_byte_age_s = 10.6; }},
      {"receiver",
       "nothing came for nan s",
       [](auto& s) { s.receiver.last_byte_age_s = std::nan(""); }},
      {"receiver",
       "it did not take what it is told at the start",
       [](auto& s) { s.receiver.start_up = StartUpState::kFailed; }},
      {"archive",
       "it cannot write: no space left",
       [](auto& s) {
         s.archive.state = ArchiveState::kCannotWrite;
         s.archive.why = "no space left";
       }},
      {"archive",
       "496 bytes wait, and none was made safe for 61 s",
       [](auto& s) { s.archive.last_commit_age_s = 61; }},
      {"disk",
       "255 MB are free, 512 MB should be",
       [](auto& s) {
         s.archive.disk_free_bytes = (std::uint64_t{256} << 20U) - 1;
       }},
      {"rovers",
       "192.0.2.1:2102 is not open: the port is taken",
       [](auto& s) {
         s.rovers.listeners.push_back(
             {"192.0.2.1:2102", true, false, "the port is taken"});
       }},
      {"decode",
       "bytes come, and no epoch for 61 s",
       [](auto& s) { s.decode.last_epoch_age_s = 61; }},
      {"decode",
       "bytes come, and no epoch yet",
       [](auto& s) { s.decode.last_epoch_age_s.reset(); }},
      {"store",
       "it does not work: damaged",
       [](auto& s) {
         s.store.good = false;
         s.store.why = "damaged";
       }},
      {"clock",
       "this computer's clock is 6 s behind the receiver's",
       [](auto& s) { s.process.clock_offset_s = -6; }},
      {"clock",
       "this computer's clock is 3600 s ahead of the receiver's",
       [](auto& s) { s.process.clock_offset_s = 3600; }},
      {"clock",
       "this computer's clock is 1000000000 s behind the receiver's",
       [](auto& s) { s.process.clock_offset_s = -1e9; }},
      {"threads",
       "decode was not seen working for 31 s",
       [](auto& s) { s.process.thread_beat_age_s["decode"] = 31; }},
      {"threads",
       "none is known",
       [](auto& s) { s.process.thread_beat_age_s.clear(); }},
      {"config",
       "the last reload changed nothing: station.toml:45:3",
       [](auto& s) { s.config.last_error = "station.toml:45:3"; }},
      {"certificate",
       "it ends in 13.9 days",
       [](auto& s) { s.certificate_ends = s.now + Duration{13.9 * 86'400}; }},
      {"certificate",
       "it has expired",
       [](auto& s) { s.certificate_ends = s.now - Duration{1}; }},
  };
  for (const auto& c : cases) {
    StationStatus status = full_status();
    c.change(status);
    for (const Check& check : station_checks(status)) {
      EXPECT_EQ(check.good, check.name != c.name) << check.name << c.why;
      EXPECT_EQ(check.why, check.good ? "" : c.why);
    }
  }
}

// What just holds, and what is not known, is no trouble.
TEST(StationChecks, LimitsThemselvesAreGood) {
  const std::function<void(StationStatus&)> changes[] = {
      [](auto& s) { s.receiver.last_byte_age_s = 10; },
      [](auto& s) { s.archive.last_commit_age_s = kCommitSilenceS; },
      [](auto& s) {
        s.archive.last_commit_age_s = 1000;
        s.archive.pending_bytes = 0;
      },
      [](auto& s) { s.archive.last_commit_age_s.reset(); },
      [](auto& s) { s.archive.state = ArchiveState::kOff; },
      [](auto& s) { s.archive.state = ArchiveState::kIdle; },
      [](auto& s) { s.archive.disk_free_bytes = std::uint64_t{256} << 20U; },
      [](auto& s) { s.archive.disk_free_bytes.reset(); },
      [](auto& s) { s.rovers.listeners.clear(); },
      [](auto& s) { s.decode.last_epoch_age_s = kEpochSilenceS; },
      [](auto& s) {
        s.decode.last_epoch_age_s.reset();
        s.uptime_s = kEpochSilenceS;
      },
      [](auto& s) { s.process.clock_offset_s = -kClockOffsetS; },
      [](auto& s) { s.process.clock_offset_s = 86'401; },  // a recording
      [](auto& s) { s.process.clock_offset_s.reset(); },
      [](auto& s) { s.process.thread_beat_age_s["x"] = kThreadSilenceS; },
      [](auto& s) {
        s.certificate_ends = s.now + Duration{kCertificateDays * 86'400};
      },
      [](auto& s) { s.certificate_ends.reset(); },
      [](auto& s) { s.receiver.start_up = StartUpState::kRunning; },
  };
  for (const auto& change : changes) {
    StationStatus status = full_status();
    change(status);
    for (const Check& check : station_checks(status)) {
      EXPECT_TRUE(check.good) << check.name << ": " << check.why;
    }
  }
}

// One cause, one bad check: no epochs without bytes are the receiver's affair.
TEST(StationChecks, ASilentReceiverIsNotAlsoADecodeTrouble) {
  StationStatus status = full_status();
  status.receiver.state = ReceiverState::kSilent;
  status.decode.last_epoch_age_s = 1000;
  for (const Check& check : station_checks(status)) {
    EXPECT_EQ(check.good, check.name != "receiver") << check.name;
  }
}

TEST(ReadyChecks, NeedFreshBytesAndOneOpenPort) {
  StationStatus status = full_status();
  EXPECT_TRUE(all_good(ready_checks(status)));
  // A second port that is not open, a disk and a start-up in trouble keep no
  // rover from its data.
  status.rovers.listeners.push_back({"192.0.2.1:2102", true, false, ""});
  status.archive.state = ArchiveState::kCannotWrite;
  status.receiver.start_up = StartUpState::kFailed;
  EXPECT_TRUE(all_good(ready_checks(status)));
  status.rovers.listeners.front().open = false;
  EXPECT_FALSE(all_good(ready_checks(status)));
  status = full_status();
  status.rovers.listeners.clear();
  EXPECT_FALSE(all_good(ready_checks(status)));
  status = full_status();
  status.receiver.last_byte_age_s = 10.001;
  EXPECT_FALSE(all_good(ready_checks(status)));
  status = full_status();
  status.receiver.state = ReceiverState::kWaiting;
  EXPECT_FALSE(all_good(ready_checks(status)));
}

}  // namespace
}  // namespace stillpoint::api
