// For tests of the observation writer: an invented station's header, invented
// epochs, and whole files written at once.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/rinex/observation_test_support.h"
#include "stillpoint/rinex/observation_writer.h"

namespace stillpoint::rinex::test {

struct Written {
  std::optional<Error> error;
  std::string text;
  LeftOutValues left_out;
};
Written write_epochs(const ObservationHeader& header,
                     const std::vector<Epoch>& epochs,
                     ObservationWriterOptions options);

// As write_epochs(), with these options; strengths stay as they are.
ObservationWriterOptions as_they_are(Version version, bool hatanaka = false);

// Columns of a list like "C1C L1C S1C".
std::vector<Column> columns_of(System system, std::string_view list);
std::vector<Column>& of(ObservationHeader& header, System system);

// Larch Hollow's header: invented antenna and receiver, all systems, sixteen
// GPS columns.
ObservationHeader demo_header();
// The same with signals that version 2.11 gives back as they were.
ObservationHeader demo_header2();

// Epochs that a header's columns hold, with everything that can happen to
// them: satellites that come and go, gaps, large and small numbers, flags,
// clock offsets that begin and end. The same seed gives the same epochs.
std::vector<Epoch> random_epochs(std::uint32_t seed,
                                 int count,
                                 const ObservationHeader& header);

// One row of one satellite; rows of one satellite must follow each other.
void add_row(Epoch& epoch, SatId sat, const Observation& row);
Observation row_of(std::string_view signal,
                   double code_m,
                   double phase_cyc = kMissing,
                   double doppler_hz = kMissing,
                   double cn0_dbhz = kMissing);

GnssTime at(int year, int month, int day, int hour, int minute, double second);

// Lines of a text from the first that begins with `start`.
std::string from_line(std::string_view text, std::string_view start);
// What stands in the columns before this label, blanks at the end left out;
// "-" where the label is not there.
std::string before_label(std::string_view text, std::string_view label);

}  // namespace stillpoint::rinex::test
