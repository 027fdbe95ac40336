// What is to be exported, and how.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/intake/export/file_name.h"
#include "stillpoint/intake/export/period.h"
#include "stillpoint/intake/export/station_facts.h"
#include "stillpoint/profile/framing.h"
#include "stillpoint/rinex/observation_writer.h"

namespace stillpoint::intake {

struct ExportRequest {
  FileNaming naming;  // the station's name, version and packing
  PeriodLength length = PeriodLength::kDay;
  Span span;      // of the epochs
  Span received;  // what is read, by the time of reception; nothing: by `span`
  // A day is a whole number of them; nothing: every epoch.
  std::optional<double> interval_s;
  OwnDescription own;
  // Packets of the receiver's maker among the bytes.
  std::vector<profile::MakerFraming> framings;
  // The line PGM / RUN BY / DATE, 20 columns each.
  std::string program, run_by, run_date;
  // To resolve ten-bit weeks by, right within ten years.
  GnssTime era;
  // Of the data, where the station's source names one (?date=): such data are
  // not of the day on which they were received.
  std::optional<GnssTime> day;
};

// Opens the file of a name; it takes the place of one that is there.
using OpenFile =
    std::function<Result<std::unique_ptr<ByteSink>>(const std::string& name)>;

// Epochs of the recording that were read; counts anew for the second pass.
using ExportProgress = std::function<void(std::uint64_t epochs)>;

}  // namespace stillpoint::intake
