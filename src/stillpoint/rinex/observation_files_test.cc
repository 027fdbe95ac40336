// Real station-days: counts, frozen, and two ways to the same epochs.
#include <gtest/gtest.h>

#include <string>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/hatanaka_text.h"
#include "stillpoint/rinex/observation_test_support.h"
#include "tests/support/test_data.h"

namespace stillpoint::rinex {
namespace {

struct Counts {
  std::size_t epochs = 0, satellites = 0, rows = 0;
  std::size_t codes = 0, phases = 0, dopplers = 0, strengths = 0;
  std::size_t problems = 0, events = 0;
  friend bool operator==(const Counts&, const Counts&) = default;
};

std::ostream& operator<<(std::ostream& out, const Counts& c) {
  return out << c.epochs << " epochs, " << c.satellites << " satellites, "
             << c.rows << " rows, " << c.codes << " " << c.phases << " "
             << c.dopplers << " " << c.strengths << ", " << c.problems
             << " problems, " << c.events << " events";
}

void add(Counts& counts, const Epoch& epoch) {
  ++counts.epochs;
  counts.satellites += epoch.satellites.size();
  counts.rows += epoch.observations.size();
  for (const Observation& row : epoch.observations) {
    counts.codes += is_present(row.code_m) ? 1U : 0U;
    counts.phases += is_present(row.phase_cyc) ? 1U : 0U;
    counts.dopplers += is_present(row.doppler_hz) ? 1U : 0U;
    counts.strengths += is_present(row.cn0_dbhz) ? 1U : 0U;
  }
}

Result<ObservationReader> open_file(const std::string& path) {
  auto stream = open_unpacked(path);
  if (!stream) {
    return fail(stream.error());
  }
  return ObservationReader::open(std::move(*stream));
}

Counts count(const std::string& path) {
  Counts counts;
  auto reader = open_file(path);
  EXPECT_TRUE(reader.has_value()) << reader.error().text();
  Epoch epoch;
  while (reader) {
    const auto got = reader->next(epoch);
    EXPECT_TRUE(got.has_value()) << got.error().text();
    if (!got || !*got) {
      break;
    }
    add(counts, epoch);
  }
  counts.problems = reader->problem_count();
  counts.events = reader->events().size();
  return counts;
}

// kind: regression   our own counts of 2026-11, epochs also by a count of the
// lines that begin one; any change calls a person

TEST(ObservationFiles, Esbc2020) {
  const std::string path = STILLPOINT_DATA_OR_SKIP(
      "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz");
  EXPECT_EQ(count(path),
            (Counts{2880, 130799, 432050, 432050, 394214, 399270, 432050}));
}

TEST(ObservationFiles, Ajac2024) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("days/AJAC00FRA_R_20242090000_01D_30S_MO.crx.gz");
  EXPECT_EQ(count(path),
            (Counts{2880, 119445, 392371, 392355, 391737, 392370, 392371}));
}

// Zeros stand for what was not measured.
TEST(ObservationFiles, Nya12024) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("days/NYA100NOR_S_20241270000_01D_30S_MO.crx.gz");
  EXPECT_EQ(count(path),
            (Counts{2880, 102617, 368640, 368640, 368640, 208797, 368640}));
}

TEST(ObservationFiles, Gras2022) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("days/GRAS00FRA_R_20223151700_15M_01S_MO.crx.gz");
  EXPECT_EQ(count(path),
            (Counts{900, 31428, 101354, 101354, 101273, 101203, 101354}));
}

// Its 23 comment records lost their comment lines when free text was blanked:
// events that announce a line and have none.
TEST(ObservationFiles, Usno2005) {
  const std::string path = STILLPOINT_DATA_OR_SKIP("days/usno0200.05o.gz");
  EXPECT_EQ(count(path),
            (Counts{2880, 24430, 72993, 72705, 48838, 48838, 0, 23, 23}));
}

TEST(ObservationFiles, Alab2024) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("sio-2024-328/alab3280.24o.gz");
  EXPECT_EQ(count(path), (Counts{2880, 22841, 44435, 44435, 44043}));
}

// Seventeen satellites in the first epoch: their list continues.
TEST(ObservationFiles, Sio52024) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("sio-2024-328/sio53280.24o.gz");
  EXPECT_EQ(count(path), (Counts{2880, 47069, 90795, 90795, 90795}));
  auto reader = open_file(path);
  Epoch epoch;
  ASSERT_TRUE(reader->next(epoch).value());
  EXPECT_EQ(epoch.satellites.size(), 17U);
  const Observation* row = test::find(epoch, "G17", "1C");
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->phase_cyc, 142433950.969);
  EXPECT_EQ(row->phase_strength, 9);
  EXPECT_EQ(row->code_m, 27104248.760);
}

TEST(ObservationFiles, Wettzell2020) {
  const std::string wtzr = STILLPOINT_DATA_OR_SKIP(
      "wettzell-2020-177/WTZR00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz");
  EXPECT_EQ(count(wtzr),
            (Counts{120, 4673, 13200, 13200, 13184, 13200, 13200}));
  const std::string wtzz = STILLPOINT_DATA_OR_SKIP(
      "wettzell-2020-177/WTZZ00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz");
  EXPECT_EQ(count(wtzz),
            (Counts{120, 5988, 22304, 22150, 22150, 22304, 22304}));
  auto reader = open_file(wtzz);
  ASSERT_TRUE(reader.has_value());
  EXPECT_EQ(reader->header().antenna_delta_enu_m.u_m, 0.284);
  EXPECT_EQ(reader->header().antenna_type, "LEIAR25.R3      LEIT");
  EXPECT_EQ(reader->header().glonass_channels.size(), 24U);
}

// The restored text of a compressed file as a stream, a line at a time.
class RestoredText final : public ByteStream {
 public:
  explicit RestoredText(HatanakaText text) : text_(std::move(text)) {}
  Result<std::size_t> read(std::span<char> into) override {
    if (at_ == line_.size()) {
      std::string_view line;
      const auto got = text_.next(line);
      if (!got || !*got) {
        EXPECT_TRUE(got.has_value());
        return std::size_t{0};
      }
      line_ = std::string(line) + "\n";
      at_ = 0;
    }
    const std::size_t size = line_.copy(into.data(), into.size(), at_);
    at_ += size;
    return size;
  }
  [[nodiscard]] const std::string& name() const override { return name_; }

 private:
  HatanakaText text_;
  std::string name_ = "restored";
  std::string line_;
  std::size_t at_ = 0;
};

void expect_two_ways_agree(const std::string& path) {
  auto text = HatanakaText::open(open_unpacked(path).value());
  ASSERT_TRUE(text.has_value());
  auto plain =
      ObservationReader::open(std::make_unique<RestoredText>(std::move(*text)));
  auto direct = open_file(path);
  ASSERT_TRUE(plain.has_value() && direct.has_value());
  Epoch a;
  Epoch b;
  for (;;) {
    const bool more = direct->next(a).value();
    ASSERT_EQ(plain->next(b).value(), more);
    if (!more) {
      break;
    }
    ASSERT_TRUE(test::same_epoch(a, b)) << format_gpst(a.time);
  }
  EXPECT_TRUE(plain->problems().empty());
}

// kind: cross   direct decoding against restored text   tolerance: none
TEST(ObservationFiles, DirectDecodingEqualsTheRestoredText) {
  for (const char* name :
       {"esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz",
        "days/AJAC00FRA_R_20242090000_01D_30S_MO.crx.gz",
        "days/NYA100NOR_S_20241270000_01D_30S_MO.crx.gz",
        "days/GRAS00FRA_R_20223151700_15M_01S_MO.crx.gz"}) {
    const std::string path = STILLPOINT_DATA_OR_SKIP(name);
    SCOPED_TRACE(name);
    expect_two_ways_agree(path);
  }
}

std::string text_of(const std::string& path) {
  auto stream = open_unpacked(path).value();
  std::string text;
  std::array<char, 65536> piece{};
  for (auto got = stream->read(piece); got && *got > 0;
       got = stream->read(piece)) {
    text.append(piece.data(), *got);
  }
  return text;
}

// kind: cross   version 2 text through the test's own compression and back
// tolerance: none, every character
TEST(ObservationFiles, Version2SurvivesCompression) {
  const std::string path =
      STILLPOINT_DATA_OR_SKIP("sio-2024-328/sio53280.24o.gz");
  const std::string text = text_of(path);
  const std::string compact = test::compress(text, 3);
  EXPECT_EQ(test::restore(compact), text);
  const auto direct = test::read_text(compact);
  const auto plain = test::read_text(text);
  EXPECT_EQ(direct.epochs.size(), 2880U);
  EXPECT_EQ(test::first_difference(direct.epochs, plain.epochs), -1);
}

}  // namespace
}  // namespace stillpoint::rinex
