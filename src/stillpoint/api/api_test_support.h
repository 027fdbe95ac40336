// What the tests of this module share: a station where all is well and every
// value is known, and a strict reader of metrics.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "stillpoint/api/station_status.h"

namespace stillpoint::api::test {

// Every value is set, and no two counts are equal.
StationStatus full_status();
// Nothing is known yet.
StationStatus empty_status();

struct Family {
  std::string type, help;
  std::map<std::string, double> samples;  // by their labels, "" for none
};

// The text as families by name. Everything that is not exactly as the format
// says is an error in `mistakes`: order, names, escapes, doubled samples or
// families, a value that is no number, a missing last line end.
//
//   source   Prometheus text exposition format 0.0.4, from memory
std::map<std::string, Family> read_metrics(const std::string& text,
                                           std::vector<std::string>& mistakes);

// All words of a text that begin with "stillpoint_".
std::set<std::string> metric_names(const std::string& text);

std::string file_text(const std::string& path_in_repository);
std::string repository_path(const std::string& path_in_repository);

}  // namespace stillpoint::api::test
