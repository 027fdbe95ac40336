// One job as it runs: verbs of the program as child processes, one after the
// other, with their limits, and what comes out of them. Everything happens in
// the job's folder.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/config/station_config.h"
#include "stillpoint/core/result.h"
#include "stillpoint/station/child_process.h"
#include "stillpoint/station/job.h"
#include "stillpoint/station/job_document.h"
#include "stillpoint/station/job_products.h"

namespace stillpoint::station {

// What a run needs to know.
struct RunContext {
  std::string program;  // whose verbs are run
  std::string config;   // path of station.toml
  std::string folder;   // of the job; is there
  std::string cache;    // of fetched products
  config::SolveSection settings;
  std::vector<std::string> nav_files;
  ProductShelf shelf;
  std::vector<std::string> not_these;  // lines of it that are passed over
  bool fetch = false;
  std::optional<RecordedSpan> received;
  std::uint64_t most_bytes = 0;        // that its files may take
  std::uint64_t least_free_bytes = 0;  // that it leaves on the disk
  std::function<std::optional<std::uint64_t>()> free_bytes;
};

struct RunEnd {
  JobState state = JobState::kFailed;
  std::string what, why;
  std::string document;  // of a solve that ended well
  std::string products;  // as JobView::products
  bool report = false;
  std::vector<JobFile> files;
};

// threads  one at a time, as of ChildProcess
class JobRun {
 public:
  //   now     from a clock that never steps
  //   errors  kIo: the folder cannot be written, or nothing started
  static Result<JobRun> start(JobRequest request,
                              RunContext context,
                              std::chrono::nanoseconds now);

  // Looks what has become of it; does not wait. After it has given an end, the
  // run is over and its working folder is gone.
  std::optional<RunEnd> tick(std::chrono::nanoseconds now);
  // Ends it as soon as the process lets itself be ended; tick() tells.
  void stop(JobState state, std::string why);

  [[nodiscard]] const std::string& step() const { return step_; }
  [[nodiscard]] std::optional<double> progress() const { return progress_; }
  [[nodiscard]] const std::string& what() const { return what_; }

 private:
  JobRun(JobRequest request, RunContext context, std::chrono::nanoseconds now);

  Status begin_export();
  // The next method that may do; an end where there is none.
  std::optional<RunEnd> begin_solve();
  Status begin(const std::vector<std::string>& words, const std::string& out);
  void watch(std::chrono::nanoseconds now);
  void read_progress();
  std::optional<RunEnd> after_export(int code);
  std::optional<RunEnd> after_solve(int code);
  RunEnd after_files();
  [[nodiscard]] RunEnd ended_by(int code, const std::string& answer) const;
  RunEnd failed(std::string why) const;
  [[nodiscard]] std::string path(const std::string& name) const;
  [[nodiscard]] bool is_export() const {
    return request_.kind == JobKind::kExport;
  }

  JobRequest request_;
  RunContext context_;
  std::chrono::nanoseconds started_, looked_{0};
  std::optional<ChildProcess> child_;
  std::string out_;  // of the child's answer
  bool solving_ = false;
  std::vector<JobMethod> methods_;  // to be tried, the last one first
  JobMethod method_ = JobMethod::kCode;
  std::optional<ProductSet> set_;
  ExportedFiles exported_;
  std::string step_, what_, earlier_why_;
  std::optional<double> progress_;
  std::optional<RunEnd> stopped_;
};

}  // namespace stillpoint::station
