// A job in the words of the program's verbs. Pure.
#pragma once

#include <string>
#include <vector>

#include "stillpoint/config/station_config.h"
#include "stillpoint/station/job.h"
#include "stillpoint/station/job_document.h"
#include "stillpoint/station/job_products.h"

namespace stillpoint::station {

// Which part of the recording is read, where its clock was not that of the
// epochs (a recording that is played); nothing where it was.
std::optional<RecordedSpan> received_apart(
    const std::vector<RecordedSpan>& recorded, GnssTime start, GnssTime end);

// `export` with its options.
//
//   config   path of station.toml
//   out      folder for the files
//   For a solve it is every 30 s, packed, in the newest common format,
//   whatever the request says of exports.
std::vector<std::string> export_words(
    const JobRequest& request,
    const std::string& config,
    const std::string& out,
    const std::optional<RecordedSpan>& received);

// Where a solve gets what from.
struct SolveInputs {
  ExportedFiles exported;
  std::vector<std::string> nav_files;  // of the owner, besides
  std::optional<ProductSet> products;  // of the shelf
  bool fetch = false;                  // what is missing
  std::string cache;                   // for fetched files
  config::SolveSection settings;
};

// The job file of `locate` (docs/formats/locate-job.md), for a folder with
// work/ in it.
std::string locate_text(const JobRequest& request,
                        JobMethod method,
                        const SolveInputs& inputs);

}  // namespace stillpoint::station
