// For tests of the observation reader: small files made in place, whole files
// read at once, and a second, independent hand at the compression: a writer.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/rinex/observation_reader.h"

namespace stillpoint::rinex::test {

// A header line: content padded to column 60, then the label.
std::string header_line(std::string_view content, std::string_view label);

// Everything a file gives.
struct Reading {
  std::optional<Error> error;  // of open() or of the last next()
  ObservationHeader header;    // as of the end
  std::vector<Epoch> epochs;
  std::vector<Problem> problems;
  std::vector<Event> events;
};
Reading read_stream(std::unique_ptr<ByteStream> stream);
// step: bytes handed out at a time; 0: all at once.
Reading read_text(std::string_view text, std::size_t step = 0);

// True when two epochs agree in every bit that is not missing.
bool same_epoch(const Epoch& a, const Epoch& b);
// Index of the first epoch that differs, or -1 when all agree.
int first_difference(const std::vector<Epoch>& a, const std::vector<Epoch>& b);

// Row of a satellite and signal ("G05", "1C"); nullptr when it is not there.
const Observation* find(const Epoch& epoch,
                        std::string_view sat,
                        std::string_view signal);

// RINEX text of one constant set of types, without events, to Hatanaka form
// with the given order. Written from the rules, not from the reader.
std::string compress(std::string_view text, int order);

// The restored text of a compressed file; "" and the error on damage.
std::string restore(std::string_view compressed, std::string* error = nullptr);

// Three epochs of a small RINEX 3 file: GPS with gaps, GLONASS, flags, a
// satellite that comes and goes.
std::string small_file3();
// The same idea in version 2 with seven types and thirteen satellites.
std::string small_file2();

}  // namespace stillpoint::rinex::test
