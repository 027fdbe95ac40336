#include "stillpoint/datum/frames.h"

#include <gtest/gtest.h>

#include <fstream>
#include <set>
#include <sstream>
#include <vector>

#include "tests/support/vectors.h"

namespace stillpoint {
namespace {

TEST(FrameOfLabel, KnownLabelsCarryTheRealisationTheyAreAlignedTo) {
  const FrameLabel igb14 = frame_of_label("IGb14");
  EXPECT_TRUE(igb14.known);
  EXPECT_EQ(igb14.frame.name, "IGb14");
  EXPECT_EQ(igb14.aligned_to, "ITRF2014");
  EXPECT_EQ(frame_of_label("IGS20").aligned_to, "ITRF2020");
  EXPECT_EQ(frame_of_label("IGS05").aligned_to, "ITRF2005");
  EXPECT_EQ(frame_of_label("IGb00").aligned_to, "ITRF2000");
}

TEST(FrameOfLabel, CaseAndBlanksDoNotCount) {
  EXPECT_EQ(frame_of_label(" igB14 ").frame.name, "IGb14");
  EXPECT_EQ(frame_of_label("itr14").frame.name, "ITRF2014");
  EXPECT_EQ(frame_of_label("wgs84").frame.name, "WGS84");
}

TEST(FrameOfLabel, UnknownLabelsAreKeptAsWritten) {
  for (const char* label : {"XYZ99", "ITRF", "IGS", "IGS1", ""}) {
    const FrameLabel unknown = frame_of_label(label);
    EXPECT_FALSE(unknown.known) << label;
    EXPECT_EQ(unknown.frame.name, label);
    EXPECT_EQ(unknown.aligned_to, "");
  }
  EXPECT_EQ(frame_of_label("  loc 1 ").frame.name, "loc 1");
}

TEST(FrameTable, NamesAreThemselvesLabelsOfTheSameFrame) {
  std::set<std::string_view> labels;
  for (const FrameRow& row : frame_rows()) {
    EXPECT_TRUE(labels.insert(row.label).second) << row.label;
    const FrameLabel name = frame_of_label(row.name);
    EXPECT_EQ(name.frame.name, row.name);
    EXPECT_EQ(name.aligned_to, row.aligned_to);
    EXPECT_EQ(frame_of_label(row.aligned_to).aligned_to, row.aligned_to);
  }
}

// Rows of the document: "| `label` | `name` | `aligned to` |".
std::vector<std::vector<std::string>> rows_of_document() {
  std::ifstream in(test::vector_path("../../docs/frames.md"));
  std::vector<std::vector<std::string>> rows;
  for (std::string line; std::getline(in, line);) {
    if (!line.starts_with("| `")) {
      continue;
    }
    std::vector<std::string> cells;
    std::istringstream parts(line);
    for (std::string part; std::getline(parts, part, '`');) {
      cells.push_back(part);
    }
    // "| ", label, " | ", name, " | ", aligned to, " |"
    EXPECT_EQ(cells.size(), 7U) << line;
    cells.resize(7);
    rows.push_back({cells[1], cells[3], cells[5]});
  }
  return rows;
}

TEST(FrameTable, AgreesWithItsDocument) {
  const auto document = rows_of_document();
  const auto table = frame_rows();
  ASSERT_EQ(document.size(), table.size());
  for (std::size_t i = 0; i < table.size(); ++i) {
    EXPECT_EQ(document[i][0], table[i].label);
    EXPECT_EQ(document[i][1], table[i].name);
    EXPECT_EQ(document[i][2], table[i].aligned_to);
  }
}

}  // namespace
}  // namespace stillpoint
