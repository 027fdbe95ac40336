// Damage of every kind: what is lost is said, the rest is read, nothing
// crashes, hangs or grows.
#include <gtest/gtest.h>

#include <random>
#include <string>

#include "stillpoint/rinex/observation_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::compress;
using test::read_text;

struct Sample {
  const char* name;
  std::string text;
};

std::vector<Sample> samples() {
  return {{"version 3", test::small_file3()},
          {"version 2", test::small_file2()},
          {"Hatanaka 3.0", compress(test::small_file3(), 3)},
          {"Hatanaka 1.0", compress(test::small_file2(), 3)}};
}

// What is read is a beginning of the whole, and a lost end is said.
TEST(DamagedObservations, CutAtEveryByteGivesABeginning) {
  for (const Sample& sample : samples()) {
    const auto whole = read_text(sample.text);
    ASSERT_EQ(whole.epochs.size(), 3U);
    for (std::size_t size = 0; size < sample.text.size(); ++size) {
      const auto got = read_text(std::string_view(sample.text).substr(0, size));
      ASSERT_LT(got.epochs.size(), 3U) << sample.name << " cut at " << size;
      for (std::size_t i = 0; i < got.epochs.size(); ++i) {
        ASSERT_TRUE(test::same_epoch(got.epochs[i], whole.epochs[i]))
            << sample.name << " cut at " << size << ", epoch " << i;
      }
      // Silence only where the cut falls between records.
      if (!got.error && got.problems.empty()) {
        const auto text = std::string_view(sample.text).substr(0, size);
        ASSERT_TRUE(text[text.find_last_not_of(' ')] == '\n' ||
                    text.ends_with("END OF HEADER"))
            << sample.name << " cut at " << size;
      }
    }
  }
}

TEST(DamagedObservations, AnySplitGivesTheSame) {
  for (const Sample& sample : samples()) {
    const auto whole = read_text(sample.text);
    for (const std::size_t step : {1U, 2U, 7U, 80U, 81U, 1000U}) {
      const auto pieces = read_text(sample.text, step);
      EXPECT_EQ(test::first_difference(pieces.epochs, whole.epochs), -1)
          << sample.name << " by " << step;
      EXPECT_EQ(pieces.problems.size(), whole.problems.size());
    }
  }
}

TEST(DamagedObservations, FlippedBitsNeverCrash) {
  std::mt19937 random(7);
  for (const Sample& sample : samples()) {
    for (int i = 0; i < 1000; ++i) {
      std::string text = sample.text;
      const int flips = 1 + i % 4;
      for (int k = 0; k < flips; ++k) {
        char& c = text[random() % text.size()];
        const auto bits = static_cast<unsigned char>(c);
        c = static_cast<char>(bits ^ (1U << random() % 8));
      }
      const auto got = read_text(text);
      EXPECT_LE(got.epochs.size(), 40U);
      EXPECT_LE(got.problems.size(), ObservationReader::kMaxProblems);
    }
  }
}

TEST(DamagedObservations, LostAndDoubledLinesNeverCrash) {
  std::mt19937 random(8);
  for (const Sample& sample : samples()) {
    const std::size_t header = sample.text.find("END OF HEADER");
    for (std::size_t at = sample.text.find('\n', header) + 1;
         at < sample.text.size();
         at = sample.text.find('\n', at) + 1) {
      const std::size_t size = sample.text.find('\n', at) + 1 - at;
      std::string lost = sample.text;
      lost.erase(at, size);
      std::string doubled = sample.text;
      doubled.insert(at, sample.text.substr(at, size));
      for (const auto& got : {read_text(lost), read_text(doubled)}) {
        ASSERT_FALSE(got.error.has_value());
        ASSERT_FALSE(got.problems.empty()) << sample.name << " at byte " << at;
        ASSERT_LE(got.epochs.size(), 3U);
      }
    }
  }
}

TEST(DamagedObservations, RandomBytesNeverCrash) {
  std::mt19937 random(9);
  for (const Sample& sample : samples()) {
    const std::size_t body =
        sample.text.find('\n', sample.text.find("END OF HEADER")) + 1;
    for (int i = 0; i < 300; ++i) {
      std::string text = i % 2 == 0 ? "" : sample.text.substr(0, body);
      const std::size_t size = random() % 2000;
      for (std::size_t k = 0; k < size; ++k) {
        text += i % 3 == 0 ? " &>0123456789.-\nG"[random() % 17]
                           : static_cast<char>(random());
      }
      static_cast<void>(read_text(text));
    }
  }
}

TEST(DamagedObservations, BadFieldCostsOneSatellite) {
  std::string text = test::small_file3();
  text[text.find("110000000.002")] = 'x';
  const auto got = read_text(text);
  ASSERT_EQ(got.epochs.size(), 3U);
  EXPECT_EQ(got.epochs[0].satellites.size(), 2U);
  ASSERT_EQ(got.problems.size(), 1U);
  EXPECT_EQ(got.problems[0].where, "test:9");
  EXPECT_NE(got.problems[0].what.find("G18"), std::string::npos);
  EXPECT_NE(got.problems[0].what.find("L1C"), std::string::npos);
}

TEST(DamagedObservations, BadEpochLineCostsOneEpoch) {
  for (const std::string& text : {test::small_file3(), test::small_file2()}) {
    std::string bad = text;
    const auto second = bad.find("  0  0", bad.find(".0000000  0 ") + 20);
    bad[second + 2] = 'x';
    const auto got = read_text(bad);
    ASSERT_EQ(got.problems.size(), 1U);
    EXPECT_NE(got.problems[0].what.find("stepped over"), std::string::npos);
    EXPECT_GE(got.epochs.size(), 1U);
  }
}

TEST(DamagedObservations, SameSatelliteTwiceIsTakenOnce) {
  std::string text = test::small_file3();
  text.replace(text.find("G18"), 3, "G05");
  const auto got = read_text(text);
  EXPECT_EQ(got.epochs.at(0).satellites.size(), 2U);
  EXPECT_EQ(got.problems.size(), 1U);
}

TEST(DamagedObservations, UndeclaredSystemIsReportedOnce) {
  std::string text = test::small_file3();
  for (auto at = text.find("G18"); at != std::string::npos;
       at = text.find("G18")) {
    text.replace(at, 3, "E18");
  }
  const auto got = read_text(text);
  EXPECT_EQ(got.epochs.size(), 3U);
  ASSERT_EQ(got.problems.size(), 1U);
  EXPECT_NE(got.problems[0].what.find("Galileo"), std::string::npos);
}

TEST(DamagedObservations, TooManyProblemsAreAnError) {
  std::string text = test::small_file3();
  text.resize(text.find("> 2024"));
  for (int i = 0; i < 2000; ++i) {
    text += "> 2024  3  1  0  0  0.0000000  0  1\nG05         x.000\n";
  }
  const auto got = read_text(text);
  ASSERT_TRUE(got.error.has_value());
  EXPECT_EQ(got.error->code, ErrorCode::kBadFormat);
  EXPECT_EQ(got.problems.size(), ObservationReader::kMaxProblems);
}

TEST(DamagedObservations, ALineWithoutEndIsAnError) {
  const auto got = read_text(test::small_file3() + std::string(100'000, 'x'));
  ASSERT_TRUE(got.error.has_value());
  EXPECT_EQ(got.error->code, ErrorCode::kTooLarge);
}

}  // namespace
}  // namespace stillpoint::rinex
