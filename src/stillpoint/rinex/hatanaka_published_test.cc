// tests/vectors/zimm_2019.vec: decoded values of a published compressed file.
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <sstream>
#include <string>

#include "stillpoint/rinex/hatanaka_text.h"
#include "stillpoint/rinex/observation_reader.h"
#include "tests/support/vectors.h"

namespace stillpoint::rinex {
namespace {

std::string sample_text() {
  std::ifstream file(test::vector_path("zimm_2019.crx"));
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<Epoch> read_epochs(const std::string& text) {
  std::vector<Epoch> epochs;
  auto reader = ObservationReader::open(memory_stream(text, "zimm_2019.crx"));
  Epoch epoch;
  while (reader) {
    const auto got = reader->next(epoch);
    EXPECT_TRUE(got.has_value());
    if (!got || !*got) {
      EXPECT_TRUE(reader->problems().empty());
      break;
    }
    epochs.push_back(epoch);
  }
  return epochs;
}

// Value and flag characters of a column, "C1C".
double value_of(const Observation& row, char kind) {
  switch (kind) {
    case 'C':
      return row.code_m;
    case 'L':
      return row.phase_cyc;
    default:
      return row.cn0_dbhz;
  }
}

const Observation* find(const Epoch& epoch,
                        const std::string& sat,
                        const std::string& signal) {
  for (const SatRows& rows : epoch.satellites) {
    for (const Observation& row : epoch.rows(rows)) {
      if (rows.sat.text() == sat && row.signal.text() == signal) {
        return &row;
      }
    }
  }
  return nullptr;
}

int digit(char c) {
  return c == '_' ? 0 : c - '0';
}

constexpr const char* kColumns[] = {"C1C",
                                    "L1C",
                                    "S1C",
                                    "C2W",
                                    "L2W",
                                    "S2W",
                                    "C2X",
                                    "L2X",
                                    "S2X",
                                    "C5X",
                                    "L5X",
                                    "S5X"};

void check_block(const std::vector<Epoch>& epochs, const test::Block& block) {
  const Epoch& epoch = epochs.at(static_cast<std::size_t>(block.in("epoch")));
  const auto start =
      from_calendar({2019, 2, 1, 0, 0, 0}, TimeScale::kGps).value();
  EXPECT_EQ((epoch.time - start).s, block.in("seconds"));
  EXPECT_EQ(epoch.receiver_clock_s, block.out("clock_s"));
  EXPECT_EQ(static_cast<double>(epoch.satellites.size()),
            block.in("satellites"));
  std::istringstream names(block.word("columns"));
  for (const double expected : block.out_list("values")) {
    std::string name;
    ASSERT_TRUE(std::getline(names, name, ','));
    const Observation* row = find(epoch, block.word("sat"), name.substr(1));
    ASSERT_NE(row, nullptr) << name;
    EXPECT_EQ(value_of(*row, name[0]), expected) << name;
  }
  const std::string flags = block.word("flags");
  for (std::size_t i = 0; i < std::size(kColumns); ++i) {
    const std::string name = kColumns[i];
    const Observation* row = find(epoch, block.word("sat"), name.substr(1));
    if (row == nullptr || !is_present(value_of(*row, name[0]))) {
      continue;
    }
    if (name[0] == 'C') {
      EXPECT_EQ(row->code_strength, digit(flags[2 * i + 1])) << name;
    } else if (name[0] == 'L') {
      EXPECT_EQ(row->lli, digit(flags[2 * i])) << name;
      EXPECT_EQ(row->phase_strength, digit(flags[2 * i + 1])) << name;
    }
  }
}

TEST(HatanakaPublished, ValuesClockAndFlagsAreTheStatedOnes) {
  const std::vector<Epoch> epochs = read_epochs(sample_text());
  ASSERT_EQ(epochs.size(), 3U);
  for (const test::Block& block : test::read_vectors("zimm_2019.vec")) {
    SCOPED_TRACE(block.name);
    check_block(epochs, block);
  }
}

// kind: cross   the same lines as text, read again   tolerance: none
TEST(HatanakaPublished, RestoredTextGivesTheSameEpochs) {
  const std::string compact = sample_text();
  std::string text;
  auto restored = HatanakaText::open(memory_stream(compact, "zimm_2019.crx"));
  ASSERT_TRUE(restored.has_value());
  std::string_view line;
  for (auto got = restored->next(line); got && *got;
       got = restored->next(line)) {
    text += std::string(line) + "\n";
  }
  // The epoch line as the source states it, with its clock.
  EXPECT_NE(text.find("> 2019  2  1  0  0  0.0000000  0 11       "
                      "0.123456789012\n"),
            std::string::npos);
  const auto direct = read_epochs(compact);
  const auto again = read_epochs(text);
  ASSERT_EQ(direct.size(), again.size());
  for (std::size_t i = 0; i < direct.size(); ++i) {
    EXPECT_EQ(direct[i].time, again[i].time);
    EXPECT_EQ(direct[i].receiver_clock_s, again[i].receiver_clock_s);
    ASSERT_EQ(direct[i].observations.size(), again[i].observations.size());
    for (std::size_t k = 0; k < direct[i].observations.size(); ++k) {
      EXPECT_EQ(direct[i].observations[k].code_m,
                again[i].observations[k].code_m);
      EXPECT_EQ(direct[i].observations[k].signal,
                again[i].observations[k].signal);
    }
  }
}

}  // namespace
}  // namespace stillpoint::rinex
