#include "stillpoint/rtcm/epoch_joiner.h"

#include <gtest/gtest.h>

#include <vector>

namespace stillpoint::rtcm {
namespace {

const GnssTime kT = GnssTime::from_gps_week(2300, 1000);

struct Joined {
  std::vector<std::size_t> sizes;  // satellites of each epoch
  std::vector<int> stations;
  EpochJoiner joiner{[this](const Epoch& e, int station_id) {
    sizes.push_back(e.satellites.size());
    stations.push_back(station_id);
  }};
  // A message with one satellite of a system.
  void message(double t_s, System system, bool more, int station_id = 1) {
    Observation o;
    o.signal = {'1', 'C'};
    o.code_m = 2e7;
    EpochBuilder& b = joiner.open(kT + Duration{t_s}, station_id);
    b.satellite({system, 3}, 7);
    b.row(o);
    joiner.close(more, kT + Duration{t_s});
  }
  using Sizes = std::vector<std::size_t>;
};

TEST(EpochJoiner, TheBitEndsAnEpochAtOnceOnceItIsTrusted) {
  Joined j;
  j.message(0, System::kGps, true);
  j.message(0, System::kGalileo, false);
  EXPECT_EQ(j.sizes, Joined::Sizes{});  // the first one waits
  j.message(1, System::kGps, true);
  EXPECT_EQ(j.sizes, (Joined::Sizes{2}));
  j.message(1, System::kGalileo, false);
  EXPECT_EQ(j.sizes, (Joined::Sizes{2, 2}));
}

TEST(EpochJoiner, ASenderWhoseBitIsWrongIsFoundOut) {
  Joined j;
  for (int t = 0; t < 3; ++t) {
    j.message(t, System::kGps, false);
    j.message(t, System::kGalileo, false);
  }
  j.joiner.finish();
  EXPECT_EQ(j.sizes, (Joined::Sizes{2, 2, 2}));
}

TEST(EpochJoiner, ABitThatNeverEndsIsEndedByTheNextEpoch) {
  Joined j;
  j.message(0, System::kGps, true);
  j.message(1, System::kGps, true);
  j.joiner.finish();
  EXPECT_EQ(j.sizes, (Joined::Sizes{1, 1}));
}

TEST(EpochJoiner, ATimeOutGivesOutWhatIsThere) {
  Joined j;
  j.message(0, System::kGps, true);
  j.joiner.tick(kT + Duration{0.3}, 0.5);
  EXPECT_EQ(j.sizes, Joined::Sizes{});
  j.joiner.tick(kT + Duration{0.6}, 0.5);
  EXPECT_EQ(j.sizes, (Joined::Sizes{1}));
}

TEST(EpochJoiner, TwoStationsAreTwoEpochs) {
  Joined j;
  j.message(0, System::kGps, true, 1);
  j.message(0, System::kGps, true, 2);
  j.joiner.finish();
  EXPECT_EQ(j.stations, (std::vector<int>{1, 2}));
}

}  // namespace
}  // namespace stillpoint::rtcm
