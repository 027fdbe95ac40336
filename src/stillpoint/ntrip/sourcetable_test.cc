#include "stillpoint/ntrip/sourcetable.h"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <variant>

#include "stillpoint/ntrip/response.h"
#include "tests/support/test_data.h"

namespace stillpoint::ntrip {
namespace {

Sourcetable parse(std::string_view text) {
  auto table = parse_sourcetable(text);
  EXPECT_TRUE(table.has_value());
  return table ? std::move(*table) : Sourcetable{};
}

const StreamRecord& stream(const Sourcetable& table, std::size_t index = 0) {
  return *table.streams().at(index);
}

constexpr std::string_view kStream =
    "STR;LHOL00XXX;Seed store;RTCM 3.3;1005(10),1077(1);2;GPS+GAL;Larch;XXX;"
    "47.30;8.90;1;0;SPDEMO-R1;none;B;N;9600;none";

TEST(Sourcetable, Stream) {
  const Sourcetable table =
      parse(std::string(kStream) + "\r\nENDSOURCETABLE\r\n");
  EXPECT_TRUE(table.complete);
  EXPECT_EQ(table.problem_count, 0U);
  const StreamRecord& s = stream(table);
  EXPECT_EQ(s.mountpoint, "LHOL00XXX");
  EXPECT_EQ(s.identifier, "Seed store");
  EXPECT_EQ(s.format, "RTCM 3.3");
  EXPECT_EQ(s.format_details, "1005(10),1077(1)");
  EXPECT_EQ(s.carrier, 2);
  EXPECT_EQ(s.nav_system, "GPS+GAL");
  EXPECT_EQ(s.network, "Larch");
  EXPECT_EQ(s.country, "XXX");
  EXPECT_EQ(s.latitude_deg, 47.3);
  EXPECT_EQ(s.longitude_deg, 8.9);
  EXPECT_EQ(s.wants_gga, true);
  EXPECT_EQ(s.solution, 0);
  EXPECT_EQ(s.generator, "SPDEMO-R1");
  EXPECT_EQ(s.compression, "none");
  EXPECT_EQ(s.authentication, "B");
  EXPECT_EQ(s.fee, "N");
  EXPECT_EQ(s.bitrate, 9600);
  EXPECT_EQ(s.misc, "none");
}

TEST(Sourcetable, WrittenAsItWasRead) {
  const std::string text =
      std::string(kStream) +
      "\r\n"
      "CAS;caster.example;2101;Valley;Growers;0;XXX;47.30;8.90;;0;none\r\n"
      "NET;Larch;Growers;B;N;https://net.example;none;none;none\r\n"
      "XYZ;of;another \"type\r\n"
      "ENDSOURCETABLE\r\n";
  EXPECT_EQ(format_sourcetable(parse(text)), text);
}

TEST(Sourcetable, QuotedFields) {
  const Sourcetable table =
      parse("STR;A;\"Barn; north\";RTCM \"\"3;a\";\"b;;\"say \"\"hi\"\"\"\n");
  EXPECT_EQ(stream(table).identifier, "Barn; north");
  EXPECT_EQ(stream(table).format, "RTCM 3");
  EXPECT_EQ(stream(table).format_details, "a;b");
  EXPECT_EQ(stream(table).nav_system, "say \"hi\"");
  const Sourcetable again = parse(format_sourcetable(table));
  EXPECT_EQ(again.records, table.records);
}

TEST(Sourcetable, QuoteThatIsNotClosedIsALetter) {
  const Sourcetable table = parse("STR;A;pipe of 5\" steel;RTCM 3\n");
  EXPECT_EQ(stream(table).identifier, "pipe of 5\" steel");
  EXPECT_EQ(stream(table).format, "RTCM 3");
  ASSERT_EQ(table.problems.size(), 1U);
  EXPECT_EQ(table.problems[0].what, "STR: a quote is not closed");
  const Sourcetable again = parse(format_sourcetable(table));
  EXPECT_EQ(again.records, table.records);
}

TEST(Sourcetable, WhatFollowsTheLastFieldBelongsToIt) {
  const Sourcetable table = parse(std::string(kStream) + ";more;and more\n");
  EXPECT_EQ(stream(table).misc, "none;more;and more");
}

TEST(Sourcetable, DamagedLinesAreNamedNotFatal) {
  const Sourcetable table = parse(
      "STR;A;b\n"
      "STR\n"
      "\n"
      "CAS;;2101\n"
      "STR;B;b;RTCM 3;;two;GPS;n;XXX;91;8.9;2;0;g;none;B;N;-1;none\n"
      "NET;N;o;B;N;a;b;c;d\n");
  EXPECT_FALSE(table.complete);
  ASSERT_EQ(table.records.size(), 3U);
  ASSERT_EQ(table.problems.size(), 4U);
  EXPECT_EQ(table.problems[0].line, 1U);
  EXPECT_EQ(table.problems[0].what, "STR: 3 of 19 fields");
  EXPECT_EQ(table.problems[1].line, 2U);
  EXPECT_EQ(table.problems[1].what, "STR without a name, left out");
  EXPECT_EQ(table.problems[2].line, 4U);
  EXPECT_EQ(table.problems[2].what, "CAS without a name, left out");
  EXPECT_EQ(table.problems[3].line, 5U);
  EXPECT_EQ(table.problems[3].what, "STR: carrier 'two'");
  EXPECT_FALSE(stream(table, 1).carrier.has_value());
  EXPECT_FALSE(stream(table, 1).latitude_deg.has_value());
  EXPECT_FALSE(stream(table, 1).wants_gga.has_value());
  EXPECT_FALSE(stream(table, 1).bitrate.has_value());
  EXPECT_EQ(stream(table, 1).longitude_deg, 8.9);
}

TEST(Sourcetable, EmptyNumbersAreNoDamage) {
  const Sourcetable table =
      parse("STR;A;b;RTCM 3;;;GPS;n;XXX;;;;;g;none;B;N;;none\n");
  EXPECT_EQ(table.problem_count, 0U);
  EXPECT_FALSE(stream(table).latitude_deg.has_value());
  EXPECT_EQ(parse(format_sourcetable(table)).records, table.records);
}

TEST(Sourcetable, DegreesKeepWhatTwoDecimalsLose) {
  Sourcetable table = parse(kStream);
  auto& s = std::get<StreamRecord>(table.records[0]);
  s.latitude_deg = 47.300012;
  s.longitude_deg = -8.5;
  const std::string text = format_sourcetable(table);
  EXPECT_NE(text.find(";47.300012;-8.50;"), std::string::npos) << text;
  EXPECT_EQ(parse(text).records, table.records);
}

TEST(Sourcetable, NoFieldBecomesAnotherRecord) {
  Sourcetable table = parse(kStream);
  std::get<StreamRecord>(table.records[0]).identifier =
      "x\r\nSTR;EVIL\nENDSOURCETABLE";
  const Sourcetable again = parse(format_sourcetable(table));
  ASSERT_EQ(again.records.size(), 1U);
  EXPECT_EQ(stream(again).identifier, "x  STR;EVIL ENDSOURCETABLE");
}

TEST(Sourcetable, EndsWhereItSaysSo) {
  const Sourcetable table = parse("STR;A;b\nENDSOURCETABLE\nSTR;B;b\n");
  EXPECT_TRUE(table.complete);
  EXPECT_EQ(table.records.size(), 1U);
  EXPECT_FALSE(parse("STR;A;b\n").complete);
  EXPECT_TRUE(parse("ENDSOURCETABLE").complete);
}

TEST(Sourcetable, BoundsHold) {
  const auto bytes = parse_sourcetable(std::string(kMaxTableBytes + 1, 'x'));
  ASSERT_FALSE(bytes.has_value());
  EXPECT_EQ(bytes.error().code, ErrorCode::kTooLarge);
  EXPECT_TRUE(parse_sourcetable(std::string(kMaxTableLines, '\n')).has_value());
  const auto lines = parse_sourcetable(std::string(kMaxTableLines + 1, '\n'));
  ASSERT_FALSE(lines.has_value());
  EXPECT_EQ(lines.error().code, ErrorCode::kTooLarge);
  std::string damaged;
  for (std::size_t i = 0; i < kMaxTableProblems + 7; ++i) {
    damaged += "STR\n";
  }
  const Sourcetable table = parse(damaged);
  EXPECT_EQ(table.problems.size(), kMaxTableProblems);
  EXPECT_EQ(table.problem_count, kMaxTableProblems + 7);
}

// kind: cross   source: the table of a public caster of 2019, with its own
// head; counts by grep -c '^STR' and '^(STR|CAS|NET)'   tolerance: none, text
TEST(Sourcetable, OfARealCaster) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("rtcm/ntrip2-sourcetable.http.txt");
  std::ifstream file(path, std::ios::binary);
  const std::string all{std::istreambuf_iterator<char>(file), {}};
  ResponseReader reader;
  const auto complete = reader.feed(
      {reinterpret_cast<const std::uint8_t*>(all.data()), all.size()});
  ASSERT_TRUE(complete.has_value() && *complete);
  EXPECT_EQ(reader.head().kind, ResponseKind::kTable);
  const ByteSpan rest = reader.body();
  const std::string body(rest.begin(), rest.end());
  const Sourcetable table = parse(body);
  EXPECT_TRUE(table.complete);
  EXPECT_EQ(table.problem_count, 0U);
  EXPECT_EQ(table.streams().size(), 42U);
  EXPECT_EQ(table.records.size(), 46U);
  const Sourcetable again = parse(format_sourcetable(table));
  EXPECT_EQ(again.records, table.records);
}

}  // namespace
}  // namespace stillpoint::ntrip
