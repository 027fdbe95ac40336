// Which known coordinate is wrong: what the ties, the stations' own positions
// and the national frames say.
#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

#include "stillpoint/datum/national_frames.h"
#include "stillpoint/solve/network.h"
#include "stillpoint/solve/network_scene_for_tests.h"

namespace stillpoint::solve {
namespace {

using namespace test_scene;

TEST(NetworkSuspect, FiveCentimetresAreNamedAmongThreeAndMoreStations) {
  for (const std::size_t count : {3U, 4U, 5U}) {
    for (std::size_t wrong = 0; wrong < count; ++wrong) {
      for (const Enu& by : {Enu{0.05, 0, 0}, Enu{0, -0.05, 0}}) {
        auto ties = sound(count);
        displace(ties[wrong], by);
        const Network n = adjust_network(ties);
        EXPECT_FALSE(n.passed);
        ASSERT_EQ(n.suspect, wrong) << n.why;
        EXPECT_TRUE(says(n.why, "50 mm")) << n.why;
        EXPECT_TRUE(
            says(n.why, "coordinate of " + names()[wrong] + " is suspected"))
            << n.why;
      }
    }
  }
}

TEST(NetworkSuspect, TwoStationsCannotTellAndTheSentenceSaysWhatWould) {
  auto ties = sound(2);
  displace(ties[1], {0, 0.05, 0});
  const Network n = adjust_network(ties);
  EXPECT_FALSE(n.passed);
  EXPECT_FALSE(n.suspect.has_value());
  EXPECT_TRUE(says(n.why, "50 mm")) << n.why;
  EXPECT_TRUE(says(n.why, "cannot tell")) << n.why;
  EXPECT_TRUE(says(n.why, "further known station")) << n.why;
}

TEST(NetworkSuspect, TheOwnPositionsOfTwoStationsDecide) {
  for (const std::size_t wrong : {0U, 1U}) {
    auto ties = sound(2);
    displace(ties[wrong], {0, 0.05, 0});
    const Network n =
        adjust_network(ties,
                       {evidence(0, {0.003, -0.002, 0.01}, 0.007),
                        evidence(1, {0.005, 0.001, 0.004}, 0.007)});
    EXPECT_FALSE(n.passed);
    ASSERT_EQ(n.suspect, wrong) << n.why;
    EXPECT_TRUE(says(n.why, "ppp-float")) << n.why;
  }
}

TEST(NetworkSuspect, ACommonErrorOfTheOwnPositionsDoesNotMisleadIt) {
  // Both own positions are 30 mm off, more than four times their sigma, the
  // same way: along and against a shift of 100 mm.
  for (const double common : {0.03, -0.03}) {
    for (const std::size_t wrong : {0U, 1U}) {
      auto ties = sound(2);
      displace(ties[wrong], {0.1, 0, 0});
      const Network n = adjust_network(ties,
                                       {evidence(0, {common, 0, 0}, 0.007),
                                        evidence(1, {common, 0, 0}, 0.007)});
      ASSERT_EQ(n.suspect, wrong) << common << " " << n.why;
    }
  }
}

TEST(NetworkSuspect, NothingIsNamedByPositionsThatAreNotGoodEnough) {
  auto ties = sound(2);
  displace(ties[0], {0, 0.05, 0});
  // Of codes: half a metre.
  const Network coarse =
      adjust_network(ties,
                     {evidence(0, {0.3, -0.2, 0.1}, 0.5, "code"),
                      evidence(1, {0.25, -0.2, 0.3}, 0.5, "code")});
  EXPECT_FALSE(coarse.suspect.has_value()) << coarse.why;
  EXPECT_TRUE(says(coarse.why, "cannot tell")) << coarse.why;
  // A common error half as large as the shift leaves both alike.
  const Network between = adjust_network(
      ties,
      {evidence(0, {0, 0.025, 0}, 0.005), evidence(1, {0, 0.025, 0}, 0.005)});
  EXPECT_FALSE(between.suspect.has_value()) << between.why;
}

TEST(NetworkSuspect, TwoOwnPositionsAreNotTakenForBetterThanOne) {
  // Perfect ones of 7 mm: what they have in common is not averaged away.
  const std::vector<KnownEvidence> own{evidence(0, {}, 0.007),
                                       evidence(1, {}, 0.007)};
  auto ties = sound(2);
  displace(ties[0], {0, 0.023, 0});
  const Network small = adjust_network(ties, own);
  EXPECT_FALSE(small.passed);
  EXPECT_FALSE(small.suspect.has_value()) << small.why;
  displace(ties[0], {0, 0.012, 0});
  EXPECT_EQ(adjust_network(ties, own).suspect, std::size_t{0});
}

TEST(NetworkSuspect, OwnPositionsFarOutsideTheirSigmaDoNotDecideASmallShift) {
  // 40 mm off with 7 mm sigma, and either hypothesis leaves that or more.
  auto ties = sound(2);
  displace(ties[0], {0, 0.03, 0});
  const Network n = adjust_network(
      ties,
      {evidence(0, {0, -0.04, 0}, 0.007), evidence(1, {0, -0.04, 0}, 0.007)});
  EXPECT_FALSE(n.passed);
  EXPECT_FALSE(n.suspect.has_value()) << n.why;
}

TEST(NetworkSuspect, EvidenceThatContradictsItselfIsNotUsed) {
  auto ties = sound(2);
  displace(ties[0], {0, 0.05, 0});
  // One of the own positions is 120 mm off, the other one is right.
  const Network n = adjust_network(
      ties,
      {evidence(0, {0.001, 0, 0}, 0.005), evidence(1, {0.12, 0, 0}, 0.005)});
  EXPECT_FALSE(n.suspect.has_value()) << n.why;
  EXPECT_TRUE(says(n.why, "does not go together")) << n.why;
}

TEST(NetworkSuspect, TwoWrongStationsOfFourAreNotPressedIntoOne) {
  auto ties = sound(4);
  displace(ties[0], {0.08, 0, 0});
  displace(ties[3], {0, -0.09, 0});
  const Network n = adjust_network(ties);
  EXPECT_FALSE(n.passed);
  EXPECT_FALSE(n.suspect.has_value()) << n.why;
  EXPECT_TRUE(says(n.why, "more than one")) << n.why;
}

TEST(NetworkSuspect, CoordinatesOfTheWrongStationsAreSaidToBeSo) {
  auto ties = sound(2);
  std::swap(ties[0].known_m, ties[1].known_m);
  const Network n = adjust_network(ties);
  EXPECT_FALSE(n.passed);
  EXPECT_TRUE(says(n.why, "wrong stations")) << n.why;
}

// kind: cross, drawn noise and a shift of 5 cm to any side
// tolerance: bounds from 4,000 other draws by a scratch program (99.95 % named,
// none wrong among three; 98 % and none wrong among two with own positions of
// 7 mm), with room for chance in 1,000: 99 % and 0.2 %, 96 % and 0.5 %
TEST(NetworkSuspect, DrawnShiftsOfFiveCentimetresAreNamedAndRarelyWrong) {
  constexpr int kDraws = 1'000;
  std::mt19937 random(1130);
  std::uniform_real_distribution<double> azimuth(0, 2 * 3.14159265358979);
  for (const std::size_t count : {2U, 3U}) {
    int right = 0;
    int wrong = 0;
    for (std::size_t k = 0; k < kDraws; ++k) {
      auto ties = drawn(sound(count), random);
      const double toward = azimuth(random);
      displace(ties[k % count],
               {0.05 * std::sin(toward), 0.05 * std::cos(toward), 0});
      std::vector<KnownEvidence> own;
      for (std::size_t i = 0; count == 2 && i < count; ++i) {
        own.push_back(evidence(i, {}, 0.007));
        own[i].position_m =
            own[i].position_m + noise(random, own[i].covariance_m2);
      }
      const auto suspect = adjust_network(ties, own).suspect;
      right += suspect == k % count ? 1 : 0;
      wrong += suspect && *suspect != k % count ? 1 : 0;
    }
    EXPECT_GE(right, count == 2 ? 960 : 990);
    EXPECT_LE(wrong, count == 2 ? 5 : 2);
  }
}

// The coordinate of a station as its national survey gives it.
Ecef national(const Ecef& at, const NetworkFrame& frame) {
  return *in_national_frame(at, frame.aligned_to, frame.epoch, "ETRF2000");
}

const NetworkFrame& frame_2020() {
  static const NetworkFrame frame{"ITRF2014", from_decimal_year(2020.48)};
  return frame;
}

TEST(NationalCoordinate, IsNamedAndSuspectedWhereOneOfTwoStationsHasIt) {
  for (const std::size_t wrong : {0U, 1U}) {
    auto ties = sound(2);
    ties[wrong].known_m = national(places()[wrong], frame_2020());
    const Network n = adjust_network(ties, {}, frame_2020());
    EXPECT_FALSE(n.passed);
    ASSERT_EQ(n.suspect, wrong) << n.why;
    EXPECT_TRUE(says(n.why, "ETRF20")) << n.why;
    EXPECT_TRUE(says(n.why, "not in ITRF2014")) << n.why;
    // Nobody says what the frame should be: nothing is guessed.
    const Network silent = adjust_network(ties);
    EXPECT_FALSE(silent.suspect.has_value()) << silent.why;
    EXPECT_FALSE(says(silent.why, "ETRF")) << silent.why;
  }
}

TEST(NationalCoordinate, AnOrdinaryShiftIsNotTakenForIt) {
  auto ties = sound(2);
  displace(ties[0], {-0.5, 0.5, 0});
  const Network n = adjust_network(ties, {}, frame_2020());
  EXPECT_FALSE(n.suspect.has_value()) << n.why;
  EXPECT_FALSE(says(n.why, "ETRF")) << n.why;
}

TEST(NationalCoordinate, IsNotSuspectedAgainstTheOwnPositions) {
  auto ties = sound(2);
  ties[0].known_m = national(places()[0], frame_2020());
  // By codes both stations are where the national coordinate wants them: the
  // other one would have to be wrong by as much the other way.
  const Enu by = to_enu(ties[0].known_m, places()[0]);
  const Network n = adjust_network(
      ties,
      {evidence(0, by, 0.3, "code"), evidence(1, by, 0.3, "code")},
      frame_2020());
  EXPECT_FALSE(n.passed);
  EXPECT_FALSE(n.suspect.has_value()) << n.why;
  EXPECT_TRUE(says(n.why, "ETRF20")) << n.why;
}

TEST(NationalCoordinate, OfMostStationsDoesNotAccuseTheOneThatIsRight) {
  auto ties = sound(3);
  ties[0].known_m = national(places()[0], frame_2020());
  ties[1].known_m = national(places()[1], frame_2020());
  const Network n = adjust_network(ties, {}, frame_2020());
  EXPECT_FALSE(n.passed);
  EXPECT_FALSE(n.suspect.has_value()) << n.why;
  EXPECT_TRUE(says(n.why, "ETRF20")) << n.why;
  // With one of three it is the ordinary case.
  auto one = sound(3);
  one[1].known_m = national(places()[1], frame_2020());
  const Network ordinary = adjust_network(one, {}, frame_2020());
  ASSERT_EQ(ordinary.suspect, std::size_t{1}) << ordinary.why;
  EXPECT_TRUE(says(ordinary.why, "ETRF20")) << ordinary.why;
}

TEST(NationalCoordinate, OfAllStationsIsSeenByTheirOwnPositions) {
  auto ties = sound(2);
  for (std::size_t i = 0; i < 2; ++i) {
    ties[i].known_m = national(places()[i], frame_2020());
  }
  const Network n = adjust_network(
      ties,
      {evidence(0, {0.004, 0, 0}, 0.007), evidence(1, {0.004, 0, 0}, 0.007)},
      frame_2020());
  EXPECT_TRUE(n.passed) << n.why;
  EXPECT_TRUE(says(n.why, "ETRF20")) << n.why;
  const Network single = adjust_network(
      {ties[0]}, {evidence(0, {0.004, 0, 0}, 0.007)}, frame_2020());
  EXPECT_TRUE(says(single.why, "ETRF20")) << single.why;
  // A sound coordinate and a sound own position have nothing to say.
  const Network sound_one = adjust_network(
      sound(1), {evidence(0, {0.004, 0, 0}, 0.007)}, frame_2020());
  EXPECT_FALSE(says(sound_one.why, "own position")) << sound_one.why;
}

}  // namespace
}  // namespace stillpoint::solve
