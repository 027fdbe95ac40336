// Where jobs stand on the disk: STATE/jobs/ID/ (docs/formats/jobs.md).
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/station/job.h"
#include "stillpoint/station/job_plan.h"

namespace stillpoint::station {

// Numbers are given in order and never again.
using JobNumber = std::uint64_t;

// Nothing for what is no number as we write it: "12", not "012" or "../12".
std::optional<JobNumber> job_number(std::string_view id);

class JobFolders {
 public:
  explicit JobFolders(std::string root) : root_(std::move(root)) {}

  struct Found {
    std::map<JobNumber, JobView> jobs;
    JobNumber highest = 0;  // of all folders, those that cannot be read too
    JobMemory memory;
    std::vector<std::string> problems;  // folders that are passed over
  };
  // Makes the root where it is missing, and reads what is there.
  //
  //   errors   kIo: it cannot be made or listed
  [[nodiscard]] Result<Found> read() const;

  // Makes the job's folder and writes what was asked.
  [[nodiscard]] Status make(const JobView& job) const;
  [[nodiscard]] Status write_state(const JobView& job) const;
  [[nodiscard]] Status write_memory(const JobMemory& memory) const;
  void remove(const std::string& id) const;
  void remove_files(const std::string& id) const;
  void remove_work(const std::string& id) const;

  [[nodiscard]] const std::string& root() const { return root_; }
  [[nodiscard]] std::string folder(const std::string& id) const {
    return root_ + "/" + id;
  }

 private:
  std::string root_;
};

// Files of a folder and those below it, at most `most`; links to files count,
// links to folders are not followed. Empty where it cannot be read.
std::vector<std::string> files_below(const std::string& folder,
                                     std::size_t most);

}  // namespace stillpoint::station
