// The thread that computes and exports: a list of jobs, one of them at a time
// at work, each in a process of its own. It asks for the station's own when
// they are due (job_plan.h); people ask for others.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/config/station_config.h"
#include "stillpoint/core/log.h"
#include "stillpoint/core/result.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/job.h"
#include "stillpoint/station/job_folders.h"
#include "stillpoint/station/job_plan.h"
#include "stillpoint/station/job_run.h"
#include "stillpoint/station/worker.h"

namespace stillpoint::station {

// What is recorded, as the planning wants it.
struct RecordedFacts {
  std::vector<RecordedSpan> spans;
  double idle_s = 0;                   // since the last epoch came
  std::optional<GnssTime> not_before;  // the antenna was moved then
};

// Keeps the document of a solve as a position record.
//
//   by       on whose behalf
//   returns  the record's number
using StoreRecord = std::function<Result<std::int64_t>(
    const std::string& document, JobKind kind, const std::string& by)>;

struct JobsOptions {
  std::string folder;  // STATE/jobs; the one above it is there
  std::string cache;   // of fetched products: STATE/products
  std::string config;  // path of station.toml
  std::string program = "/proc/self/exe";
  // Both are called in the thread of run(), and may take their time.
  std::function<RecordedFacts()> recorded;
  StoreRecord store;
  // Of the disk with the folder; nothing: not known.
  std::function<std::optional<std::uint64_t>()> free_bytes;

  std::size_t keep = 50;          // folders of jobs that have ended
  std::size_t most_waiting = 20;  // that people asked for
  std::uint64_t most_export_bytes = std::uint64_t{2} << 30U;  // of all exports
  std::chrono::nanoseconds plan_every = std::chrono::seconds{2};
};

class Jobs {
 public:
  Jobs(JobsOptions options,
       const config::StationConfig& config,
       Clocks clocks,
       Chronicle& chronicle,
       Logger log);

  // Reads the list back; before run(). What ran when the station ended has
  // failed.
  //
  //   errors   kIo: the folder cannot be made or listed
  Status open();

  // The thread's work, until stop(); then what runs is ended.
  void run();
  void stop();

  // All of these: threads any, and none waits for a disk.

  // Settings that a reload has changed.
  void set_config(const config::StationConfig& config);

  // Newest first.
  [[nodiscard]] std::vector<JobView> list() const;
  [[nodiscard]] std::optional<JobView> find(const std::string& id) const;
  // The one at work.
  [[nodiscard]] std::optional<JobView> at_work() const;

  //   returns  the job's id
  //   errors   as check_request(); kUsage for a kind that is the station's own;
  //            kTooLarge where too many wait
  Result<std::string> ask(JobRequest request);
  //   errors   kNoData: no such job; kUsage: it has ended
  Status cancel(const std::string& id, const std::string& by);

  // Paths of what a job has made; nothing where there is no such job, or it has
  // made no such file. `name` is only ever compared.
  [[nodiscard]] std::optional<std::string> report(const std::string& id) const;
  [[nodiscard]] std::optional<std::string> log(const std::string& id) const;
  [[nodiscard]] std::optional<std::string> file(const std::string& id,
                                                const std::string& name) const;

  // Why the station computes less than it could, for people; may be empty.
  [[nodiscard]] std::string note() const;
  // Another number whenever a job came, went or changed its state.
  [[nodiscard]] std::uint64_t version() const { return version_; }
  [[nodiscard]] const Heartbeat& heart() const { return heart_; }

 private:
  struct Entry {
    JobView view;
    bool made = false;    // its folder
    bool unkept = false;  // its state is not on the disk yet
    // A steady time: where the disk refused it, when it is tried again.
    std::chrono::nanoseconds retry_at{};
  };
  struct Settings {
    config::SolveSection solve;
    std::vector<std::string> nav_files;
    std::uint64_t leave_free_bytes = 0;
  };

  // Of the thread.
  void turn();
  void keep_states();
  void plan();
  void start_next();
  void watch_run();
  void finish(RunEnd end);
  void take_record(RunEnd& end, JobView& view);
  void tidy();
  void end_run();
  [[nodiscard]] Result<RunContext> context_of(const JobView& view);
  [[nodiscard]] std::vector<FetchLine> lines(const Settings& settings);
  void told(const JobView& view);
  void save_memory();

  // Under the lock.
  JobNumber add(JobRequest request);
  [[nodiscard]] JobNumber next_waiting() const;

  [[nodiscard]] Settings settings() const;
  void change(JobNumber number, const std::function<void(JobView&)>& what);
  void fail_job(JobNumber number, const std::string& why);

  const JobsOptions options_;
  const Clocks clocks_;
  Chronicle& chronicle_;
  const Logger log_;
  const JobFolders folders_;
  Heartbeat heart_;

  // Of the thread alone.
  JobMemory memory_;
  std::optional<JobRun> run_;
  JobNumber running_ = 0;
  std::optional<std::chrono::nanoseconds> planned_at_;
  std::string lines_of_, lines_problem_;
  std::vector<FetchLine> lines_;
  std::optional<std::chrono::nanoseconds> lines_at_;

  mutable std::mutex mutex_;
  std::condition_variable wake_;
  Settings settings_;
  std::map<JobNumber, Entry> jobs_;
  JobNumber next_ = 1;
  std::string note_;
  std::string cancelled_by_;  // the running one is to be cancelled
  bool woken_ = false, stopping_ = false;
  std::atomic<std::uint64_t> version_ = 1;
};

}  // namespace stillpoint::station
