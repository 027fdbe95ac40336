// tests/vectors/zimm_2019.crx, a published compressed file: what we write of
// its epochs has its lines.
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include "stillpoint/rinex/hatanaka_text.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/rinex/observation_writer.h"
#include "tests/support/vectors.h"

namespace stillpoint::rinex {
namespace {

std::string sample_text() {
  std::ifstream file(test::vector_path("zimm_2019.crx"));
  return {std::istreambuf_iterator<char>(file), {}};
}

std::string restored(const std::string& compact) {
  std::string text;
  auto lines = HatanakaText::open(memory_stream(compact, "test"));
  EXPECT_TRUE(lines.has_value());
  std::string_view line;
  while (lines && lines->next(line).value_or(false)) {
    text += line;
    text += '\n';
  }
  return text;
}

std::string written(const std::string& compact, bool hatanaka) {
  auto reader = ObservationReader::open(memory_stream(compact, "test"));
  EXPECT_TRUE(reader.has_value());
  std::string text;
  auto writer = ObservationWriter::begin(
      reader->header(), {Version::k305, hatanaka, false}, memory_sink(text));
  EXPECT_TRUE(writer.has_value()) << writer.error().text();
  Epoch epoch;
  while (writer && reader->next(epoch).value_or(false)) {
    EXPECT_TRUE(writer->add(epoch).has_value());
  }
  EXPECT_TRUE(writer && writer->finish().has_value());
  return text;
}

// Lines after the header, those that begin with these characters.
std::vector<std::string> body(const std::string& text, char first) {
  std::istringstream lines(text.substr(text.find("END OF HEADER\n") + 14));
  std::vector<std::string> found;
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty() && line[0] == first) {
      found.push_back(line);
    }
  }
  return found;
}

// kind: cross   source: the file of tests/vectors/zimm_2019.vec, restored
// tolerance: none, every character
TEST(HatanakaWriterPublished, SatelliteLinesAreThoseOfThePublishedFile) {
  const std::string compact = sample_text();
  const std::string theirs = restored(compact);
  const std::string ours = written(compact, false);
  EXPECT_EQ(body(ours, 'G').size(), 33U);
  EXPECT_EQ(body(ours, 'G'), body(theirs, 'G'));
  // Version 3.02 wrote blanks where 3.05 has zeros; the rest of the line is
  // the same, its clock offset included.
  const auto our_heads = body(ours, '>');
  const auto their_heads = body(theirs, '>');
  ASSERT_EQ(our_heads.size(), 3U);
  ASSERT_EQ(their_heads.size(), 3U);
  for (std::size_t i = 0; i < our_heads.size(); ++i) {
    EXPECT_EQ(our_heads[i].substr(18), their_heads[i].substr(18));
  }
  EXPECT_EQ(restored(written(compact, true)), ours);
}

// kind: cross   source: the published file's own beginnings of flags
// tolerance: none
TEST(HatanakaWriterPublished, FlagsBeginAsInThePublishedFile) {
  const auto flags = [](const std::string& text, char order) {
    std::vector<std::string> found;
    std::istringstream lines(text.substr(text.find("END OF HEADER\n") + 14));
    std::string start(1, order);
    start += '&';
    for (std::string line; std::getline(lines, line);) {
      if (line.starts_with(start) && line.find(' ') != std::string::npos) {
        found.push_back(line.substr(line.rfind(' ') + 1));
      }
    }
    return found;
  };
  const std::string compact = sample_text();
  EXPECT_EQ(flags(compact, '5').size(), 11U);
  EXPECT_EQ(flags(written(compact, true), '3'), flags(compact, '5'));
}

}  // namespace
}  // namespace stillpoint::rinex
