#include "stillpoint/rinex/version2_columns.h"

#include <gtest/gtest.h>

#include <string>

#include "stillpoint/rinex/observation_columns.h"
#include "stillpoint/rinex/observation_writer_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::columns_of;
using test::of;

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) {
    text += text.empty() ? "" : " ";
    text += word;
  }
  return text;
}

// "C1=1C L1=1C …" of a system, "-" for a type that is not its own.
std::string mapping(const WrittenColumns& written, System system) {
  std::string text;
  for (const Column& column :
       written.by_system[static_cast<std::size_t>(system)]) {
    text += text.empty() ? "" : " ";
    text += column.kind == Kind::kOther
                ? "-"
                : column.code + "=" + column.signal.text();
  }
  return text;
}

WrittenColumns written(System system, std::string_view list) {
  ObservationHeader header;
  of(header, system) = columns_of(system, list);
  return version2_columns(header.columns);
}

TEST(Version2Columns, TakesOneSignalABand) {
  EXPECT_EQ(mapping(written(System::kGps,
                            "C1C L1C S1C C1W L1W S1W C2W L2W S2W C2L L2L S2L"),
                    System::kGps),
            "C1=1C L1=1C S1=1C P1=1W P2=2W L2=2W S2=2W C2=2L");
  EXPECT_EQ(mapping(written(System::kGlonass, "C1P L1P C2C L2C C2P L2P"),
                    System::kGlonass),
            "P1=1P L1=1P C2=2C P2=2P L2=2P");
  EXPECT_EQ(mapping(written(System::kGalileo, "C1C L1C C5Q L5Q C7X C8I C6B"),
                    System::kGalileo),
            "C1=1C L1=1C C5=5Q L5=5Q C7=7X C8=8I C6=6B");
  EXPECT_EQ(mapping(written(System::kSbas, "C1C L1C C5I D5I"), System::kSbas),
            "C1=1C L1=1C C5=5I D5=5I");
}

TEST(Version2Columns, PreferredSignalWinsWhereverItStands) {
  EXPECT_EQ(
      mapping(written(System::kGps, "C2S L2S C2X L2X C5I C5Q"), System::kGps),
      "C2=2X L2=2X C5=5Q");
  EXPECT_EQ(mapping(written(System::kGps, "C1Y L1Y C1P L1P"), System::kGps),
            "P1=1P L1=1P");
}

TEST(Version2Columns, SystemsShareOneList) {
  ObservationHeader header;
  of(header, System::kGps) = columns_of(System::kGps, "C1C L1C C2W L2W");
  of(header, System::kGalileo) =
      columns_of(System::kGalileo, "L1X C1X C5X L5X");
  const WrittenColumns both = version2_columns(header.columns);
  EXPECT_EQ(joined(both.types2), "C1 L1 P2 L2 C5 L5");
  EXPECT_EQ(mapping(both, System::kGps), "C1=1C L1=1C P2=2W L2=2W - -");
  EXPECT_EQ(mapping(both, System::kGalileo), "C1=1X L1=1X - - C5=5X L5=5X");
}

TEST(Version2Columns, NewerSystemsAndSignalsHaveNone) {
  EXPECT_TRUE(written(System::kBeidou, "C2I L2I").types2.empty());
  EXPECT_TRUE(written(System::kQzss, "C1C L1C").types2.empty());
  EXPECT_TRUE(written(System::kNavic, "C5A").types2.empty());
  EXPECT_EQ(joined(written(System::kGlonass, "C1C C3X C4A").types2), "C1");
  EXPECT_EQ(joined(written(System::kGps, "C1C C1L L1X S1M").types2), "C1");
}

TEST(Version2Columns, LossesAreNamed) {
  const auto loss =
      [](System system, std::string_view list, Kind kind, SignalCode signal) {
        return version2_loss(columns_of(system, list), system, kind, signal);
      };
  EXPECT_EQ(loss(System::kGps, "L2W L2L", Kind::kPhase, {'2', 'L'}),
            "L2L of GPS: version 2.11 has one L2, and L2W is there");
  EXPECT_EQ(loss(System::kGps, "C2X C2S", Kind::kCode, {'2', 'S'}),
            "C2S of GPS: version 2.11 has one C2, and C2X is there");
  EXPECT_EQ(loss(System::kGps, "C1W C1P", Kind::kCode, {'1', 'P'}),
            "C1P of GPS: version 2.11 has one P1, and C1W is there");
  EXPECT_EQ(loss(System::kGlonass, "C3X", Kind::kCode, {'3', 'X'}),
            "C3X of GLONASS: version 2.11 has no code for it");
  EXPECT_EQ(loss(System::kGps, "L1L", Kind::kPhase, {'1', 'L'}),
            "L1L of GPS: version 2.11 has no code for it");
  EXPECT_EQ(loss(System::kBeidou, "C2I", Kind::kCode, {'2', 'I'}),
            "BeiDou: version 2.11 does not have this system");
}

// kind: cross   our reader's mapping of the same list   tolerance: none
TEST(Version2Columns, ReaderGivesTheCanonicalSignalsBack) {
  ObservationHeader header = test::demo_header2();
  const WrittenColumns out = version2_columns(header.columns);
  for (const System system :
       {System::kGps, System::kGlonass, System::kGalileo, System::kSbas}) {
    const auto read = columns_of_types2(system, out.types2);
    const auto& written_list = out.by_system[static_cast<std::size_t>(system)];
    ASSERT_EQ(read.size(), written_list.size());
    int compared = 0;
    for (std::size_t i = 0; i < read.size(); ++i) {
      if (written_list[i].kind != Kind::kOther) {
        EXPECT_EQ(read[i].signal, written_list[i].signal) << read[i].code;
        EXPECT_EQ(read[i].kind, written_list[i].kind) << read[i].code;
        ++compared;
      }
    }
    EXPECT_EQ(compared, static_cast<int>(of(header, system).size()));
  }
}

}  // namespace
}  // namespace stillpoint::rinex
