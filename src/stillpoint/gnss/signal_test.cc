#include "stillpoint/gnss/signal.h"

#include <gtest/gtest.h>

#include <array>
#include <string>

namespace stillpoint {
namespace {

struct Row {
  System system;
  const char* codes;  // "1C 1P …"
  double mhz;
};

// Every code of the list of MSM signals with its frequency; GLONASS below.
constexpr std::array kMsm{
    Row{System::kGps, "1C 1P 1W 1S 1L 1X", 1575.42},
    Row{System::kGps, "2C 2P 2W 2S 2L 2X", 1227.6},
    Row{System::kGps, "5I 5Q 5X", 1176.45},
    Row{System::kGalileo, "1C 1A 1B 1X 1Z", 1575.42},
    Row{System::kGalileo, "6C 6A 6B 6X 6Z", 1278.75},
    Row{System::kGalileo, "7I 7Q 7X", 1207.14},
    Row{System::kGalileo, "8I 8Q 8X", 1191.795},
    Row{System::kGalileo, "5I 5Q 5X", 1176.45},
    Row{System::kSbas, "1C", 1575.42},
    Row{System::kSbas, "5I 5Q 5X", 1176.45},
    Row{System::kQzss, "1C 1S 1L 1X", 1575.42},
    Row{System::kQzss, "6S 6L 6X", 1278.75},
    Row{System::kQzss, "2S 2L 2X", 1227.6},
    Row{System::kQzss, "5I 5Q 5X", 1176.45},
    Row{System::kBeidou, "2I 2Q 2X", 1561.098},
    Row{System::kBeidou, "6I 6Q 6X", 1268.52},
    Row{System::kBeidou, "7I 7Q 7X 7D", 1207.14},
    Row{System::kBeidou, "5D 5P 5X", 1176.45},
    Row{System::kBeidou, "1D 1P 1X", 1575.42},
    Row{System::kNavic, "5A", 1176.45},
};

// kind: published
// source: shared checks, msm_signals.csv (two independent lists agree)
// tolerance: 1 Hz; the list gives full precision
TEST(Frequency, MeetsTheListOfMsmSignals) {
  for (const Row& row : kMsm) {
    const std::string codes = row.codes;
    for (std::size_t i = 0; i < codes.size(); i += 3) {
      const SignalCode s{codes[i], codes[i + 1]};
      EXPECT_TRUE(is_known_signal(row.system, s)) << s.text();
      EXPECT_NEAR(
          frequency_hz(row.system, s.band).value_or(0), row.mhz * 1e6, 1.0)
          << system_name(row.system) << " " << s.text();
    }
  }
}

// kind: published
// source: shared checks, msm_signals.csv: 1602 + k 0.5625, 1246 + k 0.4375 MHz
// tolerance: 1 Hz
TEST(Frequency, GlonassChannelsAndTheirLimits) {
  EXPECT_NEAR(*frequency_hz(System::kGlonass, '1', -7), 1598.0625e6, 1.0);
  EXPECT_NEAR(*frequency_hz(System::kGlonass, '1', 6), 1605.375e6, 1.0);
  EXPECT_NEAR(*frequency_hz(System::kGlonass, '2', 1), 1246.4375e6, 1.0);
  EXPECT_FALSE(frequency_hz(System::kGlonass, '1'));
  EXPECT_FALSE(frequency_hz(System::kGlonass, '1', -8));
  EXPECT_FALSE(frequency_hz(System::kGlonass, '2', 14));
  EXPECT_TRUE(frequency_hz(System::kGlonass, '3'));
}

TEST(Frequency, BandsThatASystemDoesNotHave) {
  EXPECT_FALSE(frequency_hz(System::kGps, '6'));
  EXPECT_FALSE(frequency_hz(System::kSbas, '2'));
  EXPECT_FALSE(frequency_hz(System::kGalileo, '2'));
  EXPECT_FALSE(frequency_hz(System::kBeidou, '9'));
  EXPECT_FALSE(frequency_hz(System::kNavic, '2'));
  EXPECT_FALSE(frequency_hz(System::kQzss, '\0'));
}

TEST(KnownSignal, EveryKnownSignalHasAFrequencyAndOddOnesAreNone) {
  for (const System system : kSystems) {
    int known = 0;
    for (char band = '0'; band <= '9'; ++band) {
      for (char attribute = 'A'; attribute <= 'Z'; ++attribute) {
        if (is_known_signal(system, {band, attribute})) {
          ++known;
          EXPECT_TRUE(frequency_hz(system, band, 0));
        }
      }
    }
    EXPECT_GT(known, 3) << system_name(system);
    EXPECT_FALSE(is_known_signal(system, {}));
    EXPECT_FALSE(is_known_signal(system, {'1', '\0'}));
  }
  EXPECT_FALSE(is_known_signal(System::kGps, {'1', 'I'}));
  EXPECT_FALSE(is_known_signal(System::kSbas, {'2', 'L'}));
}

TEST(SignalCode, TextOfAnEmptyCodeIsEmpty) {
  EXPECT_EQ((SignalCode{'5', 'Q'}.text()), "5Q");
  EXPECT_EQ(SignalCode{}.text(), "");
}

}  // namespace
}  // namespace stillpoint
