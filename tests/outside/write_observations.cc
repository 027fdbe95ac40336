// Test program: our writer's file of the epochs it is given, for comparison
// with general-purpose libraries.
//
//   write_observations VERSION [--hatanaka]
//
// VERSION is 2.11, 3.05 or 4.02. Epochs come on stdin as dump_observations
// prints them; the file goes to stdout. Its columns are the signals and kinds
// that the epochs hold, in the order of systems and of their first row. What
// the file cannot hold is told on stderr.
// Exit: 0; 2 usage; 3 the epochs cannot be read or written.
#include <algorithm>
#include <array>
#include <charconv>
#include <cstdio>
#include <iostream>
#include <optional>
#include <sstream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/text.h"
#include "stillpoint/pack/byte_sink.h"
#include "stillpoint/rinex/observation_writer.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;
using rinex::Kind;

struct Options {
  rinex::ObservationWriterOptions writer;
  std::string version;
};

bool parse_options(int argc, char** argv, Options& options) {
  // The digits of the input are compared, not those made of C/N0.
  options.writer.strength_from_cn0 = false;
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word == "--hatanaka") {
      options.writer.hatanaka = true;
    } else if (options.version.empty()) {
      options.version = word;
    } else {
      return false;
    }
  }
  if (options.version == "2.11") {
    options.writer.version = rinex::Version::k211;
  } else if (options.version == "4.02") {
    options.writer.version = rinex::Version::k402;
  } else {
    return options.version == "3.05";
  }
  return true;
}

// "-" is a value that is not there.
bool read_value(const std::string& word, double& value) {
  if (word == "-") {
    value = kMissing;
    return true;
  }
  const auto number = parse_double(word);
  value = number.value_or(kMissing);
  return number.has_value();
}

bool read_digit(const std::string& word, std::uint8_t& digit) {
  const auto number = parse_int(word);
  digit = static_cast<std::uint8_t>(number.value_or(0));
  return number && *number >= 0 && *number <= 9;
}

bool read_epoch(const std::vector<std::string>& words, Epoch& epoch) {
  if (words.size() != 5) {
    return false;
  }
  const auto time = parse_time(words[1]);
  double clock_s = kMissing;
  if (!time || !read_value(words[3], clock_s)) {
    return false;
  }
  epoch.time = *time;
  epoch.flag = words[2] == "1" ? EpochFlag::kPowerFailure : EpochFlag::kOk;
  if (is_present(clock_s)) {
    epoch.receiver_clock_s = clock_s;
  }
  return true;
}

bool read_row(const std::vector<std::string>& words, Epoch& epoch) {
  if (words.size() != 9 || words[1].size() != 2) {
    return false;
  }
  const auto sat = parse_satellite(words[0]);
  Observation row;
  row.signal = {words[1][0], words[1][1]};
  const bool good = sat && read_value(words[2], row.code_m) &&
                    read_value(words[3], row.phase_cyc) &&
                    read_value(words[4], row.doppler_hz) &&
                    read_value(words[5], row.cn0_dbhz) &&
                    read_digit(words[6], row.lli) &&
                    read_digit(words[7], row.phase_strength) &&
                    read_digit(words[8], row.code_strength);
  if (!good) {
    return false;
  }
  if (epoch.satellites.empty() || epoch.satellites.back().sat != *sat) {
    epoch.satellites.push_back(
        {*sat, 0, static_cast<std::uint32_t>(epoch.observations.size())});
  }
  ++epoch.satellites.back().count;
  epoch.observations.push_back(row);
  return true;
}

// Nothing when a line cannot be read.
std::optional<std::vector<Epoch>> read_epochs() {
  std::vector<Epoch> epochs;
  std::string line;
  while (std::getline(std::cin, line)) {
    std::istringstream stream(line);
    std::vector<std::string> words;
    for (std::string word; stream >> word;) {
      words.push_back(word);
    }
    if (words.empty() || words[0] == "end") {
      continue;
    }
    const bool begins = words[0] == "epoch";
    if (begins) {
      epochs.emplace_back();
    }
    const bool good =
        !epochs.empty() && (begins ? read_epoch(words, epochs.back())
                                   : read_row(words, epochs.back()));
    if (!good) {
      std::fprintf(stderr, "cannot be read: %s\n", line.c_str());
      return std::nullopt;
    }
  }
  return epochs;
}

void add_columns(const Observation& row, std::vector<rinex::Column>& columns) {
  constexpr std::array<std::pair<Kind, double Observation::*>, 4> kKinds{
      {{Kind::kCode, &Observation::code_m},
       {Kind::kPhase, &Observation::phase_cyc},
       {Kind::kDoppler, &Observation::doppler_hz},
       {Kind::kStrength, &Observation::cn0_dbhz}}};
  for (const auto& [kind, member] : kKinds) {
    const bool listed = std::any_of(
        columns.begin(), columns.end(), [&, wanted = kind](const auto& column) {
          return column.kind == wanted && column.signal == row.signal;
        });
    if (is_present(row.*member) && !listed) {
      columns.push_back({"", kind, row.signal, 1});
    }
  }
}

rinex::ObservationHeader header_of(const std::vector<Epoch>& epochs) {
  rinex::ObservationHeader header;
  header.program = "write_observations";
  header.run_by = "Stillpoint's tests";
  header.run_date = "20240508 100000 UTC";
  header.comments = {"written again by our writer, for comparison"};
  header.marker_name = "LHOL";
  header.marker_type = "GEODETIC";
  header.receiver_type = "SPDEMO-R1";
  header.antenna_type = "SPDEMO-A1       NONE";
  header.approx_position_m = Ecef{4281406.3608, 670450.3441, 4664823.2};
  header.antenna_delta_enu_m.u_m = 0.512;
  header.leap_seconds = 18;
  for (const Epoch& epoch : epochs) {
    for (const SatRows& sat : epoch.satellites) {
      auto& columns = header.columns[static_cast<std::size_t>(sat.sat.system)];
      for (const Observation& row : epoch.rows(sat)) {
        add_columns(row, columns);
      }
    }
  }
  return header;
}

int complain(const Error& error) {
  std::fprintf(stderr, "%s\n", error.text().c_str());
  return 3;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  if (!parse_options(argc, argv, options)) {
    std::fputs("usage: write_observations 2.11|3.05|4.02 [--hatanaka]\n",
               stderr);
    return 2;
  }
  const auto epochs = read_epochs();
  if (!epochs) {
    return 3;
  }
  std::string text;
  auto writer = rinex::ObservationWriter::begin(
      header_of(*epochs), options.writer, memory_sink(text));
  if (!writer) {
    return complain(writer.error());
  }
  for (const Epoch& epoch : *epochs) {
    if (const Status added = writer->add(epoch); !added) {
      return complain(added.error());
    }
  }
  if (const Status finished = writer->finish(); !finished) {
    return complain(finished.error());
  }
  for (const auto& [reason, count] : writer->left_out()) {
    std::fprintf(stderr,
                 "left out: %s (%llu)\n",
                 reason.c_str(),
                 static_cast<unsigned long long>(count));
  }
  std::fwrite(text.data(), 1, text.size(), stdout);
  return 0;
}
