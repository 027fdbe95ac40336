// Jobs as JSON: what stands in their folders (docs/formats/jobs.md), and what
// the program's verbs answer. Pure.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/station/job.h"
#include "stillpoint/station/job_plan.h"

namespace stillpoint::station {

// job.json: what was asked; it never changes.
std::string request_text(const JobView& job);
// state.json: what has become of it.
std::string state_text(const JobView& job);
//   state    empty: nothing is known, the job waits
//   errors   kBadFormat
Result<JobView> parse_job(std::string_view request, std::string_view state);

// memory.json.
std::string memory_text(const JobMemory& memory);
//   errors   kBadFormat
Result<JobMemory> parse_memory(std::string_view text);

// Of `stillpoint export --json`.
struct ExportedFiles {
  std::vector<std::string> observations, navigation;  // paths, in time order
  std::uint64_t epochs = 0;
};
//   errors   kBadFormat
Result<ExportedFiles> parse_exported(std::string_view text);

// Of the document of `stillpoint locate`.
struct SolveDocument {
  std::string status, why, method;
  std::string products;  // as JobView::products
  bool has_position = false;
};
//   errors   kBadFormat
Result<SolveDocument> parse_solved(std::string_view text);

// What a verb printed that ended with an error, as one line with the remedy;
// empty where it is no such document.
std::string error_line(std::string_view text);
// The symbolic name of that error; empty likewise.
std::string error_code(std::string_view text);

}  // namespace stillpoint::station
