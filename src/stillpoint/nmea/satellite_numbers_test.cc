#include "stillpoint/nmea/satellite_numbers.h"

#include <gtest/gtest.h>

#include <string>

namespace stillpoint::nmea {
namespace {

std::string name(std::string_view talker, int number) {
  const auto sat = satellite_of(talker, number);
  return sat ? sat->text() : "-";
}

struct Case {
  const char* talker;
  int number;
  const char* satellite;
};

// kind: regression   source: common practice, from memory; each range at its
// ends and beside them
TEST(SatelliteOf, EndsOfEveryRange) {
  for (const Case& c :
       {Case{"GP", 0, "-"}, {"GP", 1, "G01"},   {"GP", 32, "G32"},
        {"GP", 33, "S20"},  {"GP", 64, "S51"},  {"GP", 65, "R01"},
        {"GP", 120, "S20"}, {"GP", 158, "S58"}, {"GP", 159, "-"},
        {"GP", 193, "J01"}, {"GL", 1, "-"},     {"GL", 33, "S20"},
        {"GL", 65, "R01"},  {"GL", 96, "R32"},  {"GL", 97, "-"},
        {"GA", 1, "E01"},   {"GA", 36, "E36"},  {"GA", 37, "-"},
        {"GA", 301, "E01"}, {"GB", 1, "C01"},   {"GB", 63, "C63"},
        {"GB", 64, "-"},    {"BD", 201, "C01"}, {"BD", 263, "C63"},
        {"BD", 401, "C01"}, {"GQ", 1, "J01"},   {"GQ", 10, "J10"},
        {"GQ", 11, "-"},    {"QZ", 193, "J01"}, {"QZ", 202, "J10"},
        {"GI", 1, "I01"},   {"GI", 15, "I15"},  {"GI", 16, "-"},
        {"GN", 7, "G07"},   {"GN", 40, "S27"},  {"GN", 96, "R32"},
        {"GN", 97, "-"},    {"GN", 193, "J01"}, {"GN", 200, "J08"},
        {"GN", 201, "-"},   {"GN", 202, "-"},   {"GN", 203, "C03"},
        {"GN", 263, "C63"}, {"GN", 264, "-"},   {"GN", 301, "E01"},
        {"GN", 336, "E36"}, {"GN", 401, "C01"}, {"GN", 464, "-"},
        {"IN", 7, "-"},     {"", 7, "-"},       {"G", 7, "-"},
        {"P ", 7, "-"},     {"GP", -1, "-"},    {"GN", 1 << 30, "-"}}) {
    EXPECT_EQ(name(c.talker, c.number), c.satellite)
        << c.talker << ' ' << c.number;
  }
}

// The same satellite by two numbers is one; two satellites never share a
// number of one talker, and every name can be read back.
TEST(SatelliteOf, EveryAnswerIsASatelliteThatCanBeWritten) {
  for (const char* talker :
       {"GP", "GL", "GA", "GB", "BD", "GQ", "QZ", "GI", "GN"}) {
    for (int number = 1; number < 1000; ++number) {
      if (const auto sat = satellite_of(talker, number)) {
        EXPECT_EQ(parse_satellite(sat->text()), *sat) << talker << number;
      }
    }
  }
}

}  // namespace
}  // namespace stillpoint::nmea
