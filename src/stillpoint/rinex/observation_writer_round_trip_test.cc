// What was written is read again: the same epochs, whichever way.
#include <gtest/gtest.h>

#include <string>

#include "stillpoint/rinex/observation_writer_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::as_they_are;
using test::first_difference;
using test::random_epochs;
using test::read_text;
using test::write_epochs;
using test::Written;

constexpr Version kVersions[] = {Version::k211, Version::k305, Version::k402};

ObservationHeader header_for(Version version) {
  return version == Version::k211 ? test::demo_header2() : test::demo_header();
}

struct Tally {
  std::size_t epochs = 0, satellites = 0, rows = 0, clocks = 0;
  std::size_t most_satellites = 0;
};

void count(const std::vector<Epoch>& epochs, Tally& tally) {
  for (const Epoch& epoch : epochs) {
    ++tally.epochs;
    tally.satellites += epoch.satellites.size();
    tally.rows += epoch.observations.size();
    tally.clocks += epoch.receiver_clock_s ? 1U : 0U;
    tally.most_satellites =
        std::max(tally.most_satellites, epoch.satellites.size());
  }
}

// kind: cross   random epochs of fifty seeds, written and read   tolerance:
// none, every bit
TEST(RoundTrip, EpochsComeBackInEveryVersionAndForm) {
  for (const Version version : kVersions) {
    const ObservationHeader header = header_for(version);
    Tally tally;
    for (std::uint32_t seed = 1; seed <= 50; ++seed) {
      const auto epochs = random_epochs(seed, 12, header);
      count(epochs, tally);
      for (const bool hatanaka : {false, true}) {
        SCOPED_TRACE(testing::Message()
                     << "version " << static_cast<int>(version) << " seed "
                     << seed << (hatanaka ? " compressed" : " plain"));
        const Written out =
            write_epochs(header, epochs, as_they_are(version, hatanaka));
        ASSERT_FALSE(out.error.has_value()) << out.error->text();
        EXPECT_TRUE(out.left_out.empty()) << out.left_out.begin()->first;
        const auto got = read_text(out.text);
        ASSERT_FALSE(got.error.has_value()) << got.error->text();
        EXPECT_TRUE(got.problems.empty()) << got.problems[0].what;
        ASSERT_EQ(first_difference(got.epochs, epochs), -1);
        EXPECT_EQ(got.header.was_compact, hatanaka);
      }
    }
    // The epochs are worth the comparison.
    EXPECT_EQ(tally.epochs, 600U);
    EXPECT_GT(tally.most_satellites, 12U);
    EXPECT_GT(tally.satellites, 5'000U);
    EXPECT_GT(tally.rows, 10'000U);
    EXPECT_GT(tally.clocks, 100U);
  }
}

// kind: cross   our restorer of text   tolerance: none, every character
TEST(RoundTrip, CompressedFormIsThatOfThePlainText) {
  for (const Version version : kVersions) {
    const ObservationHeader header = header_for(version);
    for (std::uint32_t seed = 100; seed < 120; ++seed) {
      const auto epochs = random_epochs(seed, 12, header);
      const std::string plain =
          write_epochs(header, epochs, as_they_are(version)).text;
      const std::string compact =
          write_epochs(header, epochs, as_they_are(version, true)).text;
      std::string error;
      ASSERT_EQ(test::restore(compact, &error), plain) << error;
    }
  }
}

TEST(RoundTrip, LinesHaveNoBlanksAtTheirEndAndNoMinusZero) {
  for (const Version version : kVersions) {
    const ObservationHeader header = header_for(version);
    const auto epochs = random_epochs(7, 30, header);
    for (const bool hatanaka : {false, true}) {
      const std::string text =
          write_epochs(header, epochs, as_they_are(version, hatanaka)).text;
      const std::string body = text.substr(text.find("END OF HEADER\n") + 14);
      EXPECT_EQ(body.find(" \n"), std::string::npos);
      EXPECT_EQ(body.find("-0.000 "), std::string::npos);
      EXPECT_EQ(body.find('\r'), std::string::npos);
      EXPECT_EQ(body.back(), '\n');
    }
  }
}

TEST(RoundTrip, TheSameEpochsGiveTheSameBytes) {
  const ObservationHeader header = test::demo_header();
  const auto epochs = random_epochs(11, 12, header);
  const auto options = as_they_are(Version::k305, true);
  EXPECT_EQ(write_epochs(header, epochs, options).text,
            write_epochs(header, epochs, options).text);
}

// A version 3 file made of a version 2 file keeps what version 2 said.
TEST(RoundTrip, VersionsConvertIntoEachOther) {
  const ObservationHeader header = test::demo_header2();
  const auto epochs = random_epochs(13, 12, header);
  const Written old = write_epochs(header, epochs, as_they_are(Version::k211));
  auto read = read_text(old.text);
  ASSERT_FALSE(read.error.has_value());
  read.header.version = 0;  // keeps the third bit of loss of lock
  const Written now =
      write_epochs(read.header, read.epochs, as_they_are(Version::k305));
  ASSERT_FALSE(now.error.has_value()) << now.error->text();
  EXPECT_TRUE(now.left_out.empty());
  auto again = read_text(now.text);
  EXPECT_EQ(first_difference(again.epochs, epochs), -1);
  again.header.version = 0;
  const Written back =
      write_epochs(again.header, again.epochs, as_they_are(Version::k211));
  EXPECT_EQ(first_difference(read_text(back.text).epochs, epochs), -1);
}

TEST(RoundTrip, LargeFilesLeaveInPieces) {
  const ObservationHeader header = test::demo_header();
  const auto epochs = random_epochs(17, 300, header);
  const Written out = write_epochs(header, epochs, as_they_are(Version::k305));
  EXPECT_GT(out.text.size(), 600'000U);
  EXPECT_EQ(first_difference(read_text(out.text).epochs, epochs), -1);
}

}  // namespace
}  // namespace stillpoint::rinex
