// Long runs with random rates, failures, power cuts and clock steps. A failing
// line says its seed.
#include <gtest/gtest.h>

#include <random>

#include "stillpoint/archive/archive_test_support.h"

namespace stillpoint::archive {
namespace {

// The sanitizers make a life several times as long.
#ifdef __SANITIZE_ADDRESS__
constexpr std::uint64_t kLives = 10;
#else
constexpr std::uint64_t kLives = 50;
#endif

void open_somehow(Station& station, FakeFileSystem& files) {
  while (!station.open()) {
    if (files.off()) {
      files.restart();
    } else {
      files.repair();
    }
  }
}

void live(std::uint64_t seed) {
  std::mt19937_64 random(seed);
  FakeFileSystem files(seed);
  files.sync_failure.reads_old_content = seed % 2 == 1;
  Station station(files, half_a_minute_before_noon());
  station.options.most_pending = 60000;
  open_somehow(station, files);
  for (int step = 0; step < 150; ++step) {
    switch (random() % 40) {
      case 0:
        files.fail_at(random() % 20,
                      static_cast<FaultKind>(random() % 7),
                      random() % 3 == 0);
        break;
      case 1:
      case 2:
        files.repair();
        break;
      case 3:
        station.set_time(GnssTime::from_ns(
            station.now().ns() +
            (static_cast<std::int64_t>(random() % 9000) - 4000) * kSecond));
        break;
      case 4:
        station.kill();
        break;
      case 5:
        static_cast<void>(station.close());
        break;
      default:
        break;
    }
    if (files.off()) {
      station.kill();
      files.restart();
    }
    if (!station.recorder) {
      open_somehow(station, files);
    }
    if (!files.off()) {
      station.second(random() % 9 == 0 ? random() % 40000 : random() % 1500);
    }
  }
  files.restart();
  station.kill();
  open_somehow(station, files);
  station.second(100);
  ASSERT_TRUE(station.close()) << "seed " << seed;
  ASSERT_EQ(station.announced_too_early, "") << "seed " << seed;
  ASSERT_EQ(station.verdict(files), "") << "seed " << seed;
}

TEST(Soak, RandomLivesLoseNothingAcknowledged) {
  for (std::uint64_t seed = 1; seed <= kLives; ++seed) {
    ASSERT_NO_FATAL_FAILURE(live(seed));
  }
}

}  // namespace
}  // namespace stillpoint::archive
