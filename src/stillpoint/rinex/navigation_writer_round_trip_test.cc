// Written and read again: every message, in every version that has it.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "stillpoint/rinex/navigation_writer_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::every_message;
using test::expect_same;
using test::read_back;
using test::written;

// Twelve decimals behind the first digit: half a unit of the last is 5e-13 of
// the smallest mantissa. Kilometres are metres divided by 1000: two roundings
// more.
constexpr double kPrinted = 1e-12;

NavigationWriterOptions options(Version version,
                                std::optional<System> only = {}) {
  return {.version = version,
          .only = only,
          .program = "stillpoint test",
          .run_by = "LHOL",
          .run_date = "20241124 000000 UTC",
          .comments = {"invented"},
          .leap_seconds = {}};
}

// What is written of what was read is the same, byte for byte.
void expect_stable(const std::string& text, const NavigationWriterOptions& o) {
  EXPECT_EQ(written(read_back(text), o), text);
}

bool is_new(NavMessage m) {
  return m == NavMessage::kCnav || m == NavMessage::kCnav2 ||
         m == NavMessage::kBcnav1 || m == NavMessage::kBcnav2 ||
         m == NavMessage::kBcnav3;
}

// kind: cross
// source: the numbers of navigation_writer_test_support.cc, there and back
// tolerance: kPrinted, times and whole numbers equal
TEST(NavigationWriter, EveryMessageComesBackFromVersion4) {
  NavigationData data = every_message();
  LeftOutValues left_out;
  const std::string text = written(data, options(Version::k402), &left_out);
  EXPECT_TRUE(left_out.empty()) << left_out.begin()->first;
  test::sort_as_written(data);
  expect_same(read_back(text), data, kPrinted);
  expect_stable(text, options(Version::k402));
}

// kind: cross
// source: as above, without the messages that version 3 does not have
// tolerance: kPrinted; ionosphere parameters have five digits there, 1e-4
TEST(NavigationWriter, OlderMessagesComeBackFromVersion3) {
  NavigationData data = every_message();
  LeftOutValues left_out;
  const std::string text = written(data, options(Version::k305), &left_out);
  EXPECT_EQ(
      left_out,
      (LeftOutValues{{"sets of BeiDou: the version has no message CNV1", 1},
                     {"sets of BeiDou: the version has no message CNV2", 1},
                     {"sets of BeiDou: the version has no message CNV3", 1},
                     {"sets of GPS: the version has no message CNAV", 1},
                     {"sets of GPS: the version has no message CNV2", 1},
                     {"sets of QZSS: the version has no message CNV2", 1}}));
  std::erase_if(data.kepler,
                [](const KeplerEphemeris& e) { return is_new(e.message); });
  test::sort_as_written(data);
  NavigationData back = read_back(text);
  NavigationData coarse = data;
  coarse.ionosphere = back.ionosphere;
  expect_same(back, coarse, kPrinted);
  data.kepler = back.kepler;
  data.state = back.state;
  constexpr double kFiveDigits = 1e-4;
  expect_same(back, data, kFiveDigits);
  expect_stable(text, options(Version::k305));
}

// kind: cross
// source: as above, one system at a time; version 2 has no place for GLONASS's
// fifth line
// tolerance: kPrinted
TEST(NavigationWriter, OneSystemComesBackFromVersion2) {
  const NavigationData data = every_message();
  for (const System system : {System::kGps, System::kGlonass, System::kSbas}) {
    NavigationData own;
    own.leap_seconds = 18;
    for (KeplerEphemeris e : data.kepler) {
      if (e.sat.system == system && !is_new(e.message)) {
        own.kepler.push_back(e);
      }
    }
    for (StateEphemeris e : data.state) {
      if (e.sat.system == system) {
        if (system == System::kGlonass) {
          e.l2_minus_l1_s = e.accuracy_m = kMissing;
          e.health = 4;
        }
        own.state.push_back(e);
      }
    }
    EXPECT_EQ(own.kepler.size() + own.state.size(), 1U);
    LeftOutValues left_out;
    const auto o = options(Version::k211, system);
    const std::string text = written(data, o, &left_out);
    NavigationData back = read_back(text);
    EXPECT_EQ(back.ionosphere.gps.has_value(), system == System::kGps);
    back.ionosphere = {};
    expect_same(back, own, kPrinted);
    EXPECT_EQ(left_out.contains("accuracies of GLONASS: version 2.11 has no "
                                "place"),
              system == System::kGlonass);
    EXPECT_EQ(left_out["sets of Galileo: the file is for another system"], 2U);
    expect_stable(text, o);
  }
}

// kind: cross
// source: one set with each kind of value left out in turn
// tolerance: kPrinted
TEST(NavigationWriter, WhatIsNotKnownComesBackAsNotKnown) {
  NavigationData data = every_message();
  data.ionosphere = {};
  data.leap_seconds.reset();
  for (KeplerEphemeris& e : data.kepler) {
    e.transmitted.reset();
    e.accuracy_m = kMissing;
    e.isc_s.fill(kMissing);
    e.fit_interval_s = 0;
  }
  for (StateEphemeris& e : data.state) {
    e.transmitted.reset();
    e.accuracy_m = e.l2_minus_l1_s = kMissing;
  }
  const std::string text = written(data, options(Version::k402));
  test::sort_as_written(data);
  expect_same(read_back(text), data, kPrinted);
  expect_stable(text, options(Version::k402));
}

// kind: cross
// source: all pairs of indices that CNAV can send, by the formula of
// IS-GPS-200 30.3.3.1.1.4
// tolerance: kPrinted
TEST(NavigationWriter, AnyAccuracyOfCnavComesBack) {
  NavigationData data = every_message();
  std::erase_if(data.kepler, [](const KeplerEphemeris& e) {
    return e.message != NavMessage::kCnav;
  });
  ASSERT_EQ(data.kepler.size(), 1U);
  data.state.clear();
  data.ionosphere = {};
  const auto metres = [](int n) {
    return n <= 6 ? std::exp2(1 + n / 2.0) : std::exp2(n - 2.0);
  };
  const KeplerEphemeris first = data.kepler[0];
  data.kepler.clear();
  for (int ed = -15; ed <= 14; ++ed) {
    for (int ned = -15; ned <= 14; ++ned) {
      data.kepler.push_back(first);
      data.kepler.back().accuracy_m = std::hypot(metres(ed), metres(ned));
    }
  }
  expect_same(read_back(written(data, options(Version::k402))), data, kPrinted);
}

// kind: cross
// source: transmissions on both sides of the reference time around the end of
// a week
// tolerance: equal, times are whole seconds
TEST(NavigationWriter, TransmissionTimesReferToTheWeekOfTheReferenceTime) {
  for (const double toe_s : {0.0, 14.0, 16.0, 604'799.0, 302'400.0}) {
    for (const double later_s : {-86'399.0, -20.0, 0.0, 20.0, 86'399.0}) {
      NavigationData data = every_message();
      for (KeplerEphemeris& e : data.kepler) {
        e.toe = e.toc = GnssTime::from_gps_week(2341, toe_s);
        e.transmitted = e.toe + Duration{later_s};
      }
      for (StateEphemeris& e : data.state) {
        e.toe = GnssTime::from_gps_week(2341, toe_s);
        e.transmitted = e.toe + Duration{later_s};
        e.issue = 0;
      }
      NavigationData back = read_back(written(data, options(Version::k402)));
      test::sort_as_written(data);
      for (StateEphemeris& e : back.state) {
        e.issue = 0;
      }
      for (StateEphemeris& e : data.state) {
        e.issue = 0;
      }
      expect_same(back, data, kPrinted);
    }
  }
}

}  // namespace
}  // namespace stillpoint::rinex
