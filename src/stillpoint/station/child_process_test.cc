#include "stillpoint/station/child_process.h"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include <cerrno>
#include <csignal>
#include <fstream>

#include "stillpoint/station/small_file.h"
#include "stillpoint/station/station_test_support.h"

namespace stillpoint::station {
namespace {

ChildOptions shell(const test::TempFolder& folder, const std::string& script) {
  ChildOptions options;
  options.program = "/bin/sh";
  options.words = {"-c", script};
  options.out = folder / "out";
  options.log = folder / "log";
  return options;
}

std::string text_of(const std::string& path) {
  return read_small_file(path, 1 << 20).value_or("(none)");
}

int wait_for(ChildProcess& child) {
  EXPECT_TRUE(test::wait_until([&] { return child.ended().has_value(); }));
  return child.ended().value_or(-1);
}

bool lives(pid_t pid) {
  return ::kill(pid, 0) == 0;
}

// What a shell wrote into a file, as soon as it is there.
pid_t pid_in(const std::string& path) {
  int pid = 0;
  EXPECT_TRUE(test::wait_until([&] {
    std::ifstream in(path);
    return static_cast<bool>(in >> pid);
  }));
  return pid;
}

TEST(ChildProcess, SaysItsCodeAndWritesItsFilesForTheirOwner) {
  const test::TempFolder folder;
  std::ofstream(folder / "log") << "before\n";
  auto child =
      ChildProcess::start(shell(folder, "echo answer; echo note >&2; exit 3"));
  ASSERT_TRUE(child) << child.error().text();
  EXPECT_EQ(wait_for(*child), 3);
  EXPECT_EQ(text_of(folder / "out"), "answer\n");
  EXPECT_EQ(text_of(folder / "log"), "before\nnote\n");
  struct stat info {};
  ASSERT_EQ(::stat((folder / "out").c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777U, 0600U);
}

TEST(ChildProcess, WorksInItsFolderWithItsEnvironment) {
  const test::TempFolder folder;
  ::setenv("STILLPOINT_TEST_KEPT", "kept", 1);
  ::setenv("STILLPOINT_TEST_OTHER", "old", 1);
  auto options =
      shell(folder, "pwd; echo $STILLPOINT_TEST_KEPT $STILLPOINT_TEST_OTHER");
  options.folder = folder.path();
  options.environment = {"STILLPOINT_TEST_OTHER=new"};
  auto child = ChildProcess::start(options);
  ASSERT_TRUE(child);
  EXPECT_EQ(wait_for(*child), 0);
  EXPECT_EQ(text_of(folder / "out"), folder.path() + "\nkept new\n");
}

TEST(ChildProcess, InheritsNoFileBeyondTheThree) {
  const test::TempFolder folder;
  std::FILE* open = std::fopen((folder / "secret").c_str(), "w");
  ASSERT_NE(open, nullptr);
  auto child = ChildProcess::start(
      shell(folder, "ls /proc/self/fd | sort -n | tail -1"));
  ASSERT_TRUE(child);
  EXPECT_EQ(wait_for(*child), 0);
  std::fclose(open);
  EXPECT_EQ(text_of(folder / "out"), "3\n");  // the folder that ls reads
}

TEST(ChildProcess, ThatCannotBeRunIsAnError) {
  const test::TempFolder folder;
  auto options = shell(folder, "");
  options.program = folder / "none";
  const auto none = ChildProcess::start(options);
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().code, ErrorCode::kIo);
  EXPECT_EQ(none.error().where, folder / "none");
  options = shell(folder, "");
  options.log = folder / "none/log";
  EXPECT_EQ(ChildProcess::start(options).error().where, folder / "none/log");
}

TEST(ChildProcess, StopAsksItToEnd) {
  const test::TempFolder folder;
  auto child = ChildProcess::start(
      shell(folder,
            "trap 'echo ended; exit 7' TERM; echo $$ > '" + (folder / "pid") +
                "'; while :; do sleep 0.05; done"));
  ASSERT_TRUE(child);
  pid_in(folder / "pid");
  EXPECT_FALSE(child->ended());
  child->stop();
  EXPECT_EQ(wait_for(*child), 7);
  EXPECT_EQ(text_of(folder / "out"), "ended\n");
}

TEST(ChildProcess, ThatDoesNotListenIsKilledAfterThePatience) {
  const test::TempFolder folder;
  auto options = shell(folder,
                       "trap '' TERM; echo $$ > '" + (folder / "pid") +
                           "'; while :; do sleep 0.05; done");
  options.patience = std::chrono::milliseconds{200};
  auto child = ChildProcess::start(options);
  ASSERT_TRUE(child);
  pid_in(folder / "pid");
  const auto before = steady_now();
  child->stop();
  EXPECT_EQ(wait_for(*child), ChildProcess::kBySignal + SIGKILL);
  EXPECT_GE(steady_now() - before, options.patience);
}

TEST(ChildProcess, StopReachesWhatItHasStarted) {
  const test::TempFolder folder;
  auto child = ChildProcess::start(
      shell(folder, "sleep 600 & echo $! > '" + (folder / "pid") + "'; wait"));
  ASSERT_TRUE(child);
  const pid_t grandchild = pid_in(folder / "pid");
  ASSERT_TRUE(lives(grandchild));
  child->stop();
  wait_for(*child);
  EXPECT_TRUE(test::wait_until([&] { return !lives(grandchild); }));
}

TEST(ChildProcess, LeavesNothingBehindWhenItEndsByItself) {
  const test::TempFolder folder;
  auto child = ChildProcess::start(shell(
      folder,
      "(trap '' TERM; sleep 600) & echo $! > '" + (folder / "pid") + "'"));
  ASSERT_TRUE(child);
  const pid_t grandchild = pid_in(folder / "pid");
  EXPECT_EQ(wait_for(*child), 0);
  EXPECT_TRUE(test::wait_until([&] { return !lives(grandchild); }));
}

TEST(ChildProcess, TheDestructorEndsIt) {
  const test::TempFolder folder;
  pid_t pid = 0;
  {
    auto child = ChildProcess::start(shell(folder, "exec sleep 600"));
    ASSERT_TRUE(child);
    pid = child->id();
    ASSERT_TRUE(lives(pid));
  }
  EXPECT_FALSE(lives(pid));
}

TEST(ChildProcess, MovingItHandsTheProcessOver) {
  const test::TempFolder folder;
  auto first = ChildProcess::start(shell(folder, "exit 5"));
  ASSERT_TRUE(first);
  ChildProcess second = std::move(*first);
  // What is left behind is nobody, and may be asked.
  EXPECT_EQ(first->id(), -1);    // NOLINT(bugprone-use-after-move)
  EXPECT_FALSE(first->ended());  // NOLINT(bugprone-use-after-move)
  EXPECT_EQ(wait_for(second), 5);
}

// 64 MiB at once under a limit of 24: the same command does without one.
TEST(ChildProcess, MemoryBeyondItsLimitIsNotGiven) {
  const test::TempFolder folder;
  auto options =
      shell(folder, "exec dd if=/dev/zero of=/dev/null bs=64M count=1");
  auto free = ChildProcess::start(options);
  ASSERT_TRUE(free);
  ASSERT_EQ(wait_for(*free), 0);
  options.memory_bytes = std::uint64_t{24} << 20U;
  auto limited = ChildProcess::start(options);
  ASSERT_TRUE(limited);
  EXPECT_NE(wait_for(*limited), 0);
}

TEST(ChildProcess, ProcessorTimeBeyondItsLimitEndsIt) {
  const test::TempFolder folder;
  auto options = shell(folder, "while :; do :; done");
  options.processor_s = 1;
  auto child = ChildProcess::start(options);
  ASSERT_TRUE(child);
  EXPECT_EQ(wait_for(*child), ChildProcess::kBySignal + SIGXCPU);
}

TEST(ChildProcess, StandsBehindOthersWhereThatIsAsked) {
  const test::TempFolder folder;
  auto options = shell(folder, "nice; cat /proc/self/oom_score_adj");
  options.behind = true;
  auto child = ChildProcess::start(options);
  ASSERT_TRUE(child);
  EXPECT_EQ(wait_for(*child), 0);
  EXPECT_EQ(text_of(folder / "out"), "10\n800\n");
}

// The workers of a station block all signals; their children must not.
TEST(ChildProcess, CanBeAskedToEndAlsoByAThreadThatBlocksSignals) {
  const test::TempFolder folder;
  int code = -1;
  std::thread([&] {
    sigset_t all;
    sigfillset(&all);
    pthread_sigmask(SIG_BLOCK, &all, nullptr);
    auto child = ChildProcess::start(shell(folder, "exec sleep 600"));
    ASSERT_TRUE(child);
    child->stop();
    code = wait_for(*child);
  }).join();
  EXPECT_EQ(code, ChildProcess::kBySignal + SIGTERM);
}

}  // namespace
}  // namespace stillpoint::station
