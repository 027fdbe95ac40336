#include "stillpoint/solve/tie_signals.h"

#include <gtest/gtest.h>

#include <map>
#include <string>

namespace stillpoint::solve {
namespace {

Observation signal(const char* name, bool phase = true, bool code = true) {
  Observation o;
  o.signal = {name[0], name[1]};
  o.phase_cyc = phase ? 1.1e8 : kMissing;
  o.code_m = code ? 2.2e7 : kMissing;
  return o;
}

std::string pairs_of(System system,
                     const std::vector<Observation>& here,
                     const std::vector<Observation>& there) {
  std::vector<TieBandPair> pairs;
  match_bands(system, here, there, pairs);
  std::string text;
  for (const TieBandPair& p : pairs) {
    text += text.empty() ? "" : " ";
    text += p.phase_here->signal.text();
    text += p.phase_there->signal.text();
    text += p.code_here != nullptr && p.code_there != nullptr ? "" : "-";
  }
  return text;
}

// Which codes are the same or parts of one: RINEX 4.02, tables of observation
// codes (from memory). Every known code of the systems is one of a class or
// none; whatever is not listed here has none.
TEST(TieSignals, EveryCodeBelongsToItsClassOrToNone) {
  const std::map<System, std::vector<std::string>> classes = {
      {System::kGps,
       {"1C",
        "1W 1P 1Y 1M",
        "1X 1L 1S",
        "2W 2P 2Y 2D 2M",
        "2X 2L 2S",
        "2C",
        "5X 5Q 5I"}},
      {System::kGlonass, {"1C", "1P", "2C", "2P", "3X 3Q 3I"}},
      {System::kGalileo,
       {"1X 1C 1B", "1Z", "5X 5Q 5I", "6X 6C 6B", "7X 7Q 7I", "8X 8Q 8I"}},
      {System::kBeidou,
       {"1X 1P 1D",
        "2X 2I 2Q",
        "5X 5P 5D",
        "6X 6I 6Q",
        "7X 7I 7Q",
        "7Z 7D 7P",
        "8X 8P 8D"}},
      {System::kQzss,
       {"1C", "1X 1L 1S", "1Z", "2X 2L 2S", "5X 5Q 5I", "5Z 5D 5P"}},
      {System::kSbas, {}},
      {System::kNavic, {}}};
  for (const auto& [system, lists] : classes) {
    std::map<std::string, std::size_t> wanted;
    for (std::size_t i = 0; i < lists.size(); ++i) {
      for (std::size_t at = 0; at < lists[i].size(); at += 3) {
        wanted[lists[i].substr(at, 2)] = i + 1;
      }
    }
    // Two of one band are of one class just where the lists say so.
    for (char band = '1'; band <= '9'; ++band) {
      for (char a = 'A'; a <= 'Z'; ++a) {
        const SignalCode one{band, a};
        const std::size_t of_one = wanted[one.text()];
        EXPECT_EQ(tie_class(system, one) != 0, of_one != 0)
            << system_name(system) << one.text();
        for (char b = 'A'; b <= 'Z'; ++b) {
          const SignalCode other{band, b};
          const bool alike = tie_class(system, one) != 0 &&
                             tie_class(system, one) == tie_class(system, other);
          EXPECT_EQ(alike, of_one != 0 && of_one == wanted[other.text()])
              << system_name(system) << one.text() << other.text();
        }
      }
    }
  }
}

TEST(TieSignals, PartsOfOneCodeAreDifferenced) {
  EXPECT_EQ(pairs_of(System::kGps,
                     {signal("1C"), signal("2W"), signal("5Q")},
                     {signal("1C"), signal("2W"), signal("5X")}),
            "1C1C 2W2W 5Q5X");
  EXPECT_EQ(pairs_of(System::kGps, {signal("2S")}, {signal("2X")}), "2S2X");
  EXPECT_EQ(pairs_of(System::kGalileo,
                     {signal("1C"), signal("5Q")},
                     {signal("1X"), signal("5X")}),
            "1C1X 5Q5X");
  EXPECT_EQ(pairs_of(System::kGps, {signal("1W")}, {signal("1P")}), "1W1P");
}

TEST(TieSignals, DifferentCodesAreNot) {
  EXPECT_EQ(pairs_of(System::kGps, {signal("1C")}, {signal("1W")}), "");
  EXPECT_EQ(pairs_of(System::kGps, {signal("2W")}, {signal("2X")}), "");
  EXPECT_EQ(pairs_of(System::kGps, {signal("1C")}, {signal("1X")}), "");
  EXPECT_EQ(pairs_of(System::kBeidou, {signal("7I")}, {signal("7D")}), "");
  EXPECT_EQ(pairs_of(System::kGlonass, {signal("2C")}, {signal("2P")}), "");
  EXPECT_EQ(pairs_of(System::kGps, {signal("1N")}, {signal("1N")}), "");
  EXPECT_EQ(pairs_of(System::kSbas, {signal("1C")}, {signal("1C")}), "");
}

// The class that both have, even where the better one is on one side only.
TEST(TieSignals, TheBestClassThatBothHaveIsTaken) {
  EXPECT_EQ(pairs_of(System::kGps,
                     {signal("2W"), signal("2X")},
                     {signal("2X"), signal("2L")}),
            "2X2X");
  EXPECT_EQ(pairs_of(System::kGps,
                     {signal("2X"), signal("2W")},
                     {signal("2W"), signal("2X")}),
            "2W2W");
}

TEST(TieSignals, APhaseIsNeededOfBothAndACodeOfNone) {
  EXPECT_EQ(pairs_of(System::kGps, {signal("1C", false)}, {signal("1C")}), "");
  EXPECT_EQ(pairs_of(System::kGps, {signal("1C", true, false)}, {signal("1C")}),
            "1C1C-");
  // The phase of one part and the code of another.
  EXPECT_EQ(pairs_of(System::kGps,
                     {signal("5Q", true, false), signal("5X", false, true)},
                     {signal("5Q")}),
            "5Q5Q");
}

TEST(TieSignals, ThreeBandsAtMostBestFirst) {
  const std::vector<Observation> all = {
      signal("6C"), signal("8Q"), signal("7Q"), signal("5Q"), signal("1C")};
  EXPECT_EQ(pairs_of(System::kGalileo, all, all), "1C1C 5Q5Q 7Q7Q");
  for (const System system : kSystems) {
    for (const char band : tie_bands(system)) {
      bool any = false;
      for (char a = 'A'; a <= 'Z'; ++a) {
        any |= tie_class(system, {band, a}) != 0;
      }
      EXPECT_TRUE(any) << system_name(system) << band;
    }
  }
}

}  // namespace
}  // namespace stillpoint::solve
