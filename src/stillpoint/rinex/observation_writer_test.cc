#include "stillpoint/rinex/observation_writer.h"

#include <gtest/gtest.h>

#include <limits>
#include <string>

#include "stillpoint/rinex/observation_writer_test_support.h"

namespace stillpoint::rinex {
namespace {

using test::add_row;
using test::as_they_are;
using test::at;
using test::columns_of;
using test::demo_header;
using test::from_line;
using test::of;
using test::row_of;
using test::write_epochs;
using test::Written;

constexpr SatId kG05{System::kGps, 5};

Epoch epoch_at(GnssTime time) {
  Epoch epoch;
  epoch.time = time;
  return epoch;
}

// The epochs' lines of a file with these GPS columns.
std::string body(std::string_view columns,
                 const std::vector<Epoch>& epochs,
                 ObservationWriterOptions options,
                 LeftOutValues* left_out = nullptr) {
  ObservationHeader header = demo_header();
  header.columns = {};
  of(header, System::kGps) = columns_of(System::kGps, columns);
  const Written written = write_epochs(header, epochs, options);
  EXPECT_FALSE(written.error.has_value()) << written.error->text();
  if (left_out != nullptr) {
    *left_out = written.left_out;
  }
  return written.text.substr(written.text.find("END OF HEADER\n") + 14);
}

// kind: published   source: RINEX 2.11, table A7, and RINEX 3.05, table A4:
// the epoch lines of the example files (from memory; the standard leaves out
// the zero before the point, which F12.9 and F15.12 allow)   tolerance: none
TEST(ObservationWriter, EpochLinesOfTheStandardsExamples) {
  ObservationHeader header = demo_header();
  header.columns = {};
  of(header, System::kGps) = columns_of(System::kGps, "C1C L1C");
  of(header, System::kGalileo) = columns_of(System::kGalileo, "C1X L1X");
  Epoch epoch = epoch_at(at(2005, 3, 24, 13, 10, 36));
  epoch.receiver_clock_s = -0.123456789;
  for (const SatId sat : {SatId{System::kGps, 12},
                          SatId{System::kGps, 9},
                          SatId{System::kGps, 6}}) {
    add_row(epoch, sat, row_of("1C", 23629347.915, 0.3));
  }
  add_row(epoch, {System::kGalileo, 11}, row_of("1X", 23629347.915));
  const Written old = write_epochs(header, {epoch}, as_they_are(Version::k211));
  EXPECT_EQ(from_line(old.text, " 05").substr(0, 81),
            " 05  3 24 13 10 36.0000000  0  4G12G09G06E11"
            "                        -0.123456789\n");
  epoch.time = at(2006, 3, 24, 13, 10, 36);
  epoch.receiver_clock_s = -0.123456789012;
  const Written now = write_epochs(header, {epoch}, as_they_are(Version::k305));
  EXPECT_EQ(from_line(now.text, ">").substr(0, 57),
            "> 2006 03 24 13 10 36.0000000  0  4      -0.123456789012\n");
}

TEST(ObservationWriter, FieldsFlagsAndGapsInVersion3) {
  Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, 0));
  Observation first = row_of("1C", 23439008.766, 123172824.423, kMissing, 40.9);
  first.lli = 1;
  first.phase_strength = 6;
  first.code_strength = 8;
  add_row(epoch, kG05, first);
  Observation second = row_of("2W", kMissing, -95978843.135);
  second.lli = 2;
  add_row(epoch, kG05, second);
  EXPECT_EQ(
      body("C1C L1C D1C S1C C2W L2W", {epoch}, as_they_are(Version::k305)),
      "> 2024 03 01 00 00  0.0000000  0  1\n"
      "G05  23439008.766 8 123172824.42316                        40.900  "
      "                 -95978843.1352\n");
}

TEST(ObservationWriter, FiveValuesAndTwelveSatellitesALineInVersion2) {
  Epoch epoch = epoch_at(at(2008, 12, 31, 23, 59, 59.5));
  epoch.flag = EpochFlag::kPowerFailure;
  epoch.receiver_clock_s = 0.000123456;
  for (std::uint8_t number = 1; number <= 13; ++number) {
    Observation row = row_of("1C", 20000000.5 + number, kMissing, -1.5, 45);
    add_row(epoch, {System::kGps, number}, row);
    add_row(epoch, {System::kGps, number}, row_of("2W", 1.25, kMissing));
  }
  const std::string text =
      body("C1C L1C D1C S1C C2W L2W", {epoch}, as_they_are(Version::k211));
  EXPECT_EQ(text.substr(0, text.find('\n', 82 + 34) + 1),
            " 08 12 31 23 59 59.5000000  1 13G01G02G03G04G05G06G07G08G09G10G11"
            "G12 0.000123456\n"
            "                                G13\n");
  EXPECT_EQ(text.substr(81 + 36, 80),
            "  20000001.500                          -1.500          45.000   "
            "        1.250\n\n");
}

TEST(ObservationWriter, SatelliteListOfExactlyTwelveHasNoContinuation) {
  Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, 0));
  for (std::uint8_t number = 1; number <= 12; ++number) {
    add_row(epoch, {System::kGps, number}, row_of("1C", 1));
  }
  const std::string text = body("C1C", {epoch}, as_they_are(Version::k211));
  EXPECT_EQ(text.substr(68, 2), "\n ");
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 13);
}

TEST(ObservationWriter, StrengthComesFromCn0WhereThereIsNone) {
  Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, 0));
  std::uint8_t number = 1;
  for (const double cn0 : {3.0, 11.99, 12.0, 47.9, 53.999, 54.0, 70.0}) {
    add_row(epoch, {System::kGps, number++}, row_of("1C", 1, 2, kMissing, cn0));
  }
  Observation known = row_of("1C", 1, 2, kMissing, 54);
  known.phase_strength = 3;
  add_row(epoch, {System::kGps, number++}, known);
  add_row(epoch, {System::kGps, number++}, row_of("1C", 1, 2));
  const auto digits = [&](ObservationWriterOptions options) {
    std::string text = body("C1C L1C", {epoch}, options);
    std::string found;
    for (std::size_t at = text.find('\n') + 1; at < text.size();
         at = text.find('\n', at) + 1) {
      std::string line = text.substr(at, text.find('\n', at) - at);
      line.resize(35, ' ');
      EXPECT_EQ(line.substr(17, 2), "  ");  // the code has none
      found += line[34];
    }
    return found;
  };
  EXPECT_EQ(digits({Version::k305, false, true}),
            "112789"
            "93 ");
  EXPECT_EQ(digits(as_they_are(Version::k305)), "       3 ");
}

TEST(ObservationWriter, ThirdBitOfLossOfLockStaysWithinItsVersion) {
  Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, 0));
  Observation row = row_of("1C", kMissing, 7);
  row.lli = 5;
  add_row(epoch, kG05, row);
  ObservationHeader header = demo_header();
  const auto lli = [&](double source, Version version) {
    header.version = source;
    const Written out = write_epochs(header, {epoch}, as_they_are(version));
    return out.text.at(out.text.rfind("7.000") + 5);
  };
  EXPECT_EQ(lli(0, Version::k305), '5');
  EXPECT_EQ(lli(3.02, Version::k402), '5');
  EXPECT_EQ(lli(2.11, Version::k305), '1');
  EXPECT_EQ(lli(3.05, Version::k211), '1');
  EXPECT_EQ(lli(2.10, Version::k211), '5');
}

TEST(ObservationWriter, NumbersThatTheFormatCannotSayAreCounted) {
  Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, 0));
  epoch.receiver_clock_s = 100;
  constexpr double kInfinite = std::numeric_limits<double>::infinity();
  add_row(epoch, kG05, row_of("1C", 1e10, -1e9, 0.0004, kInfinite));
  add_row(epoch, {System::kGps, 6}, row_of("1C", 9999999999.9994, -0.0006));
  add_row(epoch, {System::kGps, 7}, row_of("1C", 0.0, -0.0));
  LeftOutValues left;
  EXPECT_EQ(body("C1C L1C D1C S1C", {epoch}, as_they_are(Version::k305), &left),
            "> 2024 03 01 00 00  0.0000000  0  1\n"
            "G069999999999.999          -0.001\n");
  EXPECT_EQ(left,
            (LeftOutValues{
                {"receiver clock offsets that do not fit their columns", 1},
                {"C1C of GPS: does not fit its 14 columns", 1},
                {"L1C of GPS: does not fit its 14 columns", 1},
                {"S1C of GPS: does not fit its 14 columns", 1},
                {"D1C of GPS: zero, which stands for a missing value", 1},
                {"C1C of GPS: zero, which stands for a missing value", 1},
                {"L1C of GPS: zero, which stands for a missing value", 1}}));
}

TEST(ObservationWriter, SignalsWithoutAColumnAreNamed) {
  Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, 0));
  add_row(epoch, kG05, row_of("1C", 1, 2, 3, 40));
  add_row(epoch, kG05, row_of("5Q", 1, 2, kMissing, 40));
  add_row(epoch, {System::kBeidou, 5}, row_of("2I", 1, 2));
  add_row(epoch, {System::kGps, 0}, row_of("1C", 1, 2));
  add_row(epoch, kG05, row_of("1C", 1));
  Observation blank;
  blank.code_m = 1;
  add_row(epoch, {System::kGps, 9}, blank);
  LeftOutValues left;
  const std::string text = body("C1C L1C",
                                {epoch, epoch_at(at(2024, 3, 1, 0, 0, 1))},
                                as_they_are(Version::k305),
                                &left);
  EXPECT_EQ(text,
            "> 2024 03 01 00 00  0.0000000  0  1\n"
            "G05         1.000           2.000\n"
            "> 2024 03 01 00 00  1.0000000  0  0\n");
  EXPECT_EQ(
      left,
      (LeftOutValues{{"D1C of GPS: not among the columns of the file", 1},
                     {"S1C of GPS: not among the columns of the file", 1},
                     {"C5Q of GPS: not among the columns of the file", 1},
                     {"L5Q of GPS: not among the columns of the file", 1},
                     {"S5Q of GPS: not among the columns of the file", 1},
                     {"C2I of BeiDou: not among the columns of the file", 1},
                     {"L2I of BeiDou: not among the columns of the file", 1},
                     {"satellites without a number of two digits", 2},
                     {"satellites that come twice in an epoch", 1},
                     {"values without a signal", 1}}));
}

TEST(ObservationWriter, LossesOfVersion211AreNamed) {
  ObservationHeader header = demo_header();
  std::vector<Epoch> epochs;
  for (int i = 0; i < 3; ++i) {
    Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, i));
    add_row(epoch, kG05, row_of("2W", 1, 2));
    add_row(epoch, kG05, row_of("2L", 1, 2, 3));
    add_row(epoch, {System::kBeidou, 5}, row_of("2I", 1, 2));
    add_row(epoch, {System::kGlonass, 5}, row_of("3X", 1));
    epochs.push_back(epoch);
  }
  const Written out = write_epochs(header, epochs, as_they_are(Version::k211));
  EXPECT_FALSE(out.error.has_value());
  EXPECT_EQ(out.left_out,
            (LeftOutValues{
                {"L2L of GPS: version 2.11 has one L2, and L2W is there", 3},
                {"D2L of GPS: version 2.11 has one D2, and D2W is there", 3},
                {"BeiDou: version 2.11 does not have this system", 6},
                {"C3X of GLONASS: not among the columns of the file", 3}}));
  EXPECT_NE(out.text.find("  0  1G05\n"), std::string::npos);
}

TEST(ObservationWriter, TimesAreRoundedAndCarryOver) {
  const auto line = [](GnssTime time, Version version) {
    const std::string text =
        body("C1C", {epoch_at(time)}, as_they_are(version));
    return text.substr(0, text.find('\n'));
  };
  const GnssTime late = GnssTime::from_ns(at(2025, 1, 1, 0, 0, 0).ns() - 50);
  EXPECT_EQ(line(late, Version::k305), "> 2025 01 01 00 00  0.0000000  0  0");
  EXPECT_EQ(line(late, Version::k211), " 25  1  1  0  0  0.0000000  0  0");
  const GnssTime before = GnssTime::from_ns(late.ns() - 1);
  EXPECT_EQ(line(before, Version::k305), "> 2024 12 31 23 59 59.9999999  0  0");
  // Version 4.02 says what remains.
  EXPECT_EQ(line(late, Version::k402),
            "> 2024 12 31 23 59 59.9999999  0  0                      50000");
  EXPECT_EQ(
      line(GnssTime::from_ns(at(2024, 3, 1, 0, 0, 0).ns() + 7), Version::k402),
      "> 2024 03 01 00 00  0.0000000  0  0                      07000");
}

TEST(ObservationWriter, NanosecondsComeBackFromVersion402) {
  const GnssTime time = GnssTime::from_ns(at(2024, 3, 1, 0, 0, 0).ns() + 123);
  Epoch epoch = epoch_at(time);
  epoch.receiver_clock_s = 1e-9;
  add_row(epoch, kG05, row_of("1C", 1));
  const Written out =
      write_epochs(demo_header(), {epoch}, as_they_are(Version::k402));
  const auto got = test::read_text(out.text);
  ASSERT_EQ(got.epochs.size(), 1U);
  EXPECT_TRUE(test::same_epoch(got.epochs[0], epoch));
}

TEST(ObservationWriter, LeapSecondIsTheSixtyFirst) {
  ObservationHeader header = demo_header();
  header.scale = TimeScale::kGlonass;
  // GPST - UTC was 17 s before 2017.
  const GnssTime leap = at(2017, 1, 1, 0, 0, 17);
  std::vector<Epoch> epochs;
  for (int i = -1; i < 2; ++i) {
    epochs.push_back(epoch_at(leap + Duration{static_cast<double>(i)}));
    add_row(epochs.back(), kG05, row_of("1C", 1));
  }
  for (const bool hatanaka : {false, true}) {
    const Written out =
        write_epochs(header, epochs, as_they_are(Version::k305, hatanaka));
    if (!hatanaka) {
      EXPECT_NE(out.text.find("> 2016 12 31 23 59 59.0000000"),
                std::string::npos);
      EXPECT_NE(out.text.find("> 2016 12 31 23 59 60.0000000"),
                std::string::npos);
      EXPECT_NE(out.text.find("> 2017 01 01 00 00  0.0000000"),
                std::string::npos);
    }
    const auto got = test::read_text(out.text);
    EXPECT_EQ(test::first_difference(got.epochs, epochs), -1);
  }
}

TEST(ObservationWriter, EpochsMustGoOn) {
  const GnssTime time = at(2024, 3, 1, 0, 0, 0);
  // The second is the same instant as printed.
  const Written out = write_epochs(
      demo_header(),
      {epoch_at(time), epoch_at(GnssTime::from_ns(time.ns() + 40))},
      as_they_are(Version::k305));
  ASSERT_TRUE(out.error.has_value());
  EXPECT_EQ(out.error->code, ErrorCode::kMixedInput);
  EXPECT_NE(out.error->what.find("2024-03-01T00:00:00"), std::string::npos);
}

TEST(ObservationWriter, GoesOnAfterAnEpochThatWasRefused) {
  std::string text;
  auto writer = ObservationWriter::begin(
      demo_header(), as_they_are(Version::k211), memory_sink(text));
  ASSERT_TRUE(writer.has_value());
  ASSERT_TRUE(writer->add(epoch_at(at(2024, 3, 1, 0, 0, 30))));
  EXPECT_FALSE(writer->add(epoch_at(at(2024, 3, 1, 0, 0, 0))));
  const Status far = writer->add(epoch_at(at(2080, 1, 1, 0, 0, 0)));
  ASSERT_FALSE(far.has_value());
  EXPECT_EQ(far.error().code, ErrorCode::kOutOfRange);
  ASSERT_TRUE(writer->add(epoch_at(at(2024, 3, 1, 0, 1, 0))));
  ASSERT_TRUE(writer->finish());
  EXPECT_EQ(text.substr(text.find("END OF HEADER\n") + 14),
            " 24  3  1  0  0 30.0000000  0  0\n"
            " 24  3  1  0  1  0.0000000  0  0\n");
}

TEST(ObservationWriter, FirstEpochIsTheTimeOfFirstObsWhereNoneIsGiven) {
  ObservationHeader header = demo_header();
  header.first_obs.reset();
  const Written out = write_epochs(
      header, {epoch_at(at(2024, 3, 2, 1, 2, 3))}, as_they_are(Version::k305));
  EXPECT_EQ(test::before_label(out.text, "TIME OF FIRST OBS"),
            "  2024     3     2     1     2    3.0000000     GPS");
  const Written none = write_epochs(header, {}, as_they_are(Version::k305));
  ASSERT_TRUE(none.error.has_value());
  EXPECT_EQ(none.error->code, ErrorCode::kNoData);
  EXPECT_EQ(none.text, "");
  header.marker_name = std::string(61, 'x');
  const Written bad = write_epochs(header, {}, as_they_are(Version::k305));
  EXPECT_EQ(bad.error->code, ErrorCode::kOutOfRange);
}

TEST(ObservationWriter, HeaderWithoutColumnsForTheVersionIsRefused) {
  ObservationHeader header = demo_header();
  header.columns = {};
  of(header, System::kBeidou) = columns_of(System::kBeidou, "C2I L2I");
  EXPECT_FALSE(write_epochs(header, {}, as_they_are(Version::k305)).error);
  const Written out = write_epochs(header, {}, as_they_are(Version::k211));
  ASSERT_TRUE(out.error.has_value());
  EXPECT_EQ(out.error->code, ErrorCode::kNoData);
}

TEST(ObservationWriter, OddAndRepeatedColumnsArePassedOver) {
  ObservationHeader header = demo_header();
  header.columns = {};
  of(header, System::kGps) =
      columns_of(System::kGps, "X1  I1C C1C C1C L1C ABC");
  const Written out = write_epochs(header, {}, as_they_are(Version::k305));
  EXPECT_EQ(test::before_label(out.text, "SYS / # / OBS TYPES"),
            "G    2 C1C L1C");
}

// kind: cross   numbers of a file with a scale factor, read again
TEST(ObservationWriter, ScaledColumnsKeepTheirDigits) {
  ObservationHeader header = demo_header();
  for (Column& column : of(header, System::kGps)) {
    column.scale = column.kind == Kind::kPhase ? 100 : 1;
  }
  Epoch epoch = epoch_at(at(2024, 3, 1, 0, 0, 0));
  add_row(epoch, kG05, row_of("1C", 20000000.001, 12345678.90123));
  const Written out = write_epochs(header, {epoch}, as_they_are(Version::k305));
  EXPECT_TRUE(out.left_out.empty());
  EXPECT_NE(out.text.find("1234567890.123"), std::string::npos);
  const auto got = test::read_text(out.text);
  EXPECT_EQ(test::first_difference(got.epochs, {epoch}), -1);
}

// A sink that fails at once.
class BrokenSink final : public ByteSink {
 public:
  Status write(std::string_view /*bytes*/) override {
    return fail(ErrorCode::kIo, "no room", "disk");
  }
  Status close() override { return ok(); }
};

TEST(ObservationWriter, ErrorsOfTheSinkAreHandedOn) {
  auto writer = ObservationWriter::begin(
      demo_header(), {}, std::make_unique<BrokenSink>());
  ASSERT_TRUE(writer.has_value());
  const Status finished = writer->finish();
  ASSERT_FALSE(finished.has_value());
  EXPECT_EQ(finished.error().what, "no room");
}

}  // namespace
}  // namespace stillpoint::rinex
