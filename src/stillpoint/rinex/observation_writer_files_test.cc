// Real station-days, read, written and read again.
#include <gtest/gtest.h>

#include <string>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/observation_writer_test_support.h"
#include "tests/support/test_data.h"

namespace stillpoint::rinex {
namespace {

using test::as_they_are;

Result<ObservationReader> open_file(const std::string& path) {
  auto stream = open_unpacked(path);
  if (!stream) {
    return fail(stream.error());
  }
  return ObservationReader::open(std::move(*stream));
}

// A whole file through the writer, epoch by epoch.
std::string rewritten(const std::string& path,
                      ObservationWriterOptions options,
                      LeftOutValues* left_out = nullptr) {
  std::string text;
  auto reader = open_file(path);
  EXPECT_TRUE(reader.has_value());
  auto writer =
      ObservationWriter::begin(reader->header(), options, memory_sink(text));
  EXPECT_TRUE(writer.has_value()) << writer.error().text();
  Epoch epoch;
  while (writer && reader->next(epoch).value()) {
    const Status added = writer->add(epoch);
    EXPECT_TRUE(added.has_value()) << added.error().text();
  }
  if (writer) {
    EXPECT_TRUE(writer->finish().has_value());
    if (left_out != nullptr) {
      *left_out = writer->left_out();
    } else {
      EXPECT_TRUE(writer->left_out().empty())
          << writer->left_out().begin()->first;
    }
  }
  return text;
}

// Without what the writer says it drops: satellites without a value, and of a
// version 2 file the third bit of loss of lock.
void expect_the_same(const std::string& path, const std::string& text) {
  auto first = open_file(path);
  auto second = ObservationReader::open(memory_stream(text, "written"));
  ASSERT_TRUE(first.has_value() && second.has_value());
  const bool old = first->header().version < 3;
  Epoch a;
  Epoch b;
  std::size_t epochs = 0;
  for (;; ++epochs) {
    const bool more = first->next(a).value();
    ASSERT_EQ(second->next(b).value(), more);
    if (!more) {
      break;
    }
    for (Observation& row : a.observations) {
      row.lli = old ? row.lli & 3U : row.lli;
    }
    ASSERT_TRUE(test::same_epoch(a, b)) << format_gpst(a.time);
  }
  EXPECT_GE(epochs, 120U);
  EXPECT_TRUE(second->problems().empty());
}

void expect_comes_back(const char* name) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(name);
  const std::string plain = rewritten(path, as_they_are(Version::k305));
  expect_the_same(path, plain);
  const std::string compact = rewritten(path, as_they_are(Version::k402, true));
  expect_the_same(path, compact);
  EXPECT_LT(compact.size(), plain.size() / 2);
}

// kind: cross   epochs of the file against those of what was written of them
// tolerance: none

TEST(ObservationWriterFiles, Esbc2020ComesBack) {
  expect_comes_back("esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz");
}

TEST(ObservationWriterFiles, Ajac2024ComesBack) {
  expect_comes_back("days/AJAC00FRA_R_20242090000_01D_30S_MO.crx.gz");
}

TEST(ObservationWriterFiles, Nya12024ComesBack) {
  expect_comes_back("days/NYA100NOR_S_20241270000_01D_30S_MO.crx.gz");
}

TEST(ObservationWriterFiles, Gras2022ComesBack) {
  expect_comes_back("days/GRAS00FRA_R_20223151700_15M_01S_MO.crx.gz");
}

TEST(ObservationWriterFiles, WettzellComesBack) {
  expect_comes_back(
      "wettzell-2020-177/WTZZ00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz");
}

TEST(ObservationWriterFiles, Sio52024ComesBackFromVersion2) {
  expect_comes_back("sio-2024-328/sio53280.24o.gz");
}

TEST(ObservationWriterFiles, Usno2005ComesBackFromVersion2) {
  expect_comes_back("days/usno0200.05o.gz");
}

}  // namespace
}  // namespace stillpoint::rinex
