// A program that is killed while it writes: what it had acknowledged is there
// when the file is opened again, and nothing that it did not write.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <csignal>
#include <cstdint>
#include <random>
#include <string>

#include "stillpoint/store/store_test_support.h"

namespace stillpoint {
namespace {

constexpr int kRounds = 50;
constexpr int kMostAwaited = 20;  // acknowledgements before the kill

std::string text_of(int round, int number) {
  return std::to_string(round) + "/" + std::to_string(number);
}

// Writes until it is killed; one byte to `acknowledge` for each entry that
// append() called written. Never returns.
[[noreturn]] void write_until_killed(const std::filesystem::path& path,
                                     int round,
                                     int acknowledge) {
  Result<Store> store = Store::open(path);
  for (int number = 0; store; ++number) {
    const LogEntry entry =
        test::entry_at(round, LogKind::kSourceBack, text_of(round, number));
    const char done = '.';
    if (!store->logbook().append(entry) ||
        ::write(acknowledge, &done, 1) != 1) {
      break;
    }
  }
  ::_exit(1);
}

// How many bytes come, at most `most`; fewer when the other end closes.
int read_bytes(int descriptor, int most) {
  int count = 0;
  char byte = 0;
  while (count < most && ::read(descriptor, &byte, 1) == 1) {
    ++count;
  }
  return count;
}

// One life and death. How many entries the child had acknowledged; -1 when it
// did not die of the signal.
int killed_child(const std::filesystem::path& path, int round, int awaited) {
  std::array<int, 2> ends{};
  if (::pipe(ends.data()) != 0) {
    return -1;
  }
  const pid_t child = ::fork();
  if (child == 0) {
    ::close(ends[0]);
    write_until_killed(path, round, ends[1]);
  }
  ::close(ends[1]);
  int acknowledged = child < 0 ? -1 : read_bytes(ends[0], awaited);
  int status = 0;
  if (child < 0 || ::kill(child, SIGKILL) != 0 ||
      ::waitpid(child, &status, 0) != child || !WIFSIGNALED(status)) {
    acknowledged = -1;
  } else {
    acknowledged += read_bytes(ends[0], 1'000'000);
  }
  ::close(ends[0]);
  return acknowledged;
}

TEST(KilledWriter, LosesNothingAcknowledgedAndInventsNothing) {
  const test::TempFolder folder;
  const std::filesystem::path path = folder / "station.db";
  std::minstd_rand random(7);
  std::vector<std::string> expected;  // oldest first
  for (int round = 0; round < kRounds; ++round) {
    SCOPED_TRACE("round " + std::to_string(round));
    // At 0 the kill falls into the opening, in the first round into the
    // making of the file.
    const int awaited =
        round == 0 ? 0 : static_cast<int>(random() % (kMostAwaited + 1));
    const int acknowledged = killed_child(path, round, awaited);
    ASSERT_GE(acknowledged, awaited);

    // Opening runs the quick check.
    Store store = test::open_or_stop(path);
    LogQuery all;
    all.limit = LogQuery::kMostEntries;
    std::vector<std::string> found = test::texts(store.logbook().read(all));
    std::reverse(found.begin(), found.end());
    for (int number = 0; number < acknowledged; ++number) {
      expected.push_back(text_of(round, number));
    }
    // One more may have been written and not yet acknowledged.
    if (found.size() == expected.size() + 1) {
      expected.push_back(text_of(round, acknowledged));
    }
    ASSERT_EQ(found, expected);
  }
  EXPECT_GT(expected.size(), 100U);
}

}  // namespace
}  // namespace stillpoint
