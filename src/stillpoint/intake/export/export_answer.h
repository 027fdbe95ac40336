// What an export did, as values.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/gap.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/intake/export/epoch_order.h"
#include "stillpoint/intake/export/period.h"
#include "stillpoint/rinex/observation_writer.h"

namespace stillpoint::intake {

struct ExportWarning {
  std::string code;  // one word, for programs
  std::string what;  // a sentence
  std::optional<double> size;
  std::string unit;  // "m", "s", "bytes", "epochs"; empty without a size
};

enum class ExportedKind : std::uint8_t { kObservations, kNavigation };

struct ExportedFile {
  std::string name;  // without a folder
  ExportedKind kind = ExportedKind::kObservations;
  Period period;
  // Of observations: epochs. Of navigation: sets, without times.
  std::uint64_t records = 0;
  std::optional<GnssTime> first, last;
  std::optional<double> interval_s;
  std::array<int, kSystemCount> satellites{};
  std::vector<StreamRange> bytes;  // of the recording
};

struct ExportAnswer {
  std::vector<ExportedFile> files;  // in the order in which they were written
  std::vector<archive::Gap> gaps;   // of the recording, within the span
  rinex::LeftOutValues left_out;
  std::vector<ExportWarning> warnings;
};

}  // namespace stillpoint::intake
