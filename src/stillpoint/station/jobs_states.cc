// How the states of jobs change, are kept on the disk and told: jobs.h has the
// class.
#include <fmt/format.h>

#include <utility>

#include "stillpoint/station/job_words.h"
#include "stillpoint/station/jobs.h"

namespace stillpoint::station {
namespace {

constexpr std::chrono::nanoseconds kRetryEvery = std::chrono::minutes{1};

std::uint64_t bytes_of(const JobView& view) {
  std::uint64_t sum = 0;
  for (const JobFile& file : view.files) {
    sum += file.bytes;
  }
  return sum;
}

}  // namespace

void Jobs::change(JobNumber number, const std::function<void(JobView&)>& what) {
  const std::lock_guard lock(mutex_);
  const auto at = jobs_.find(number);
  if (at != jobs_.end()) {
    what(at->second.view);
    at->second.unkept = true;
    ++version_;
  }
}

void Jobs::fail_job(JobNumber number, const std::string& why) {
  change(number, [&](JobView& view) {
    view.state = JobState::kFailed;
    view.step.clear();
    view.progress.reset();
    view.what.clear();
    view.why = why;
    view.ended = clocks_.wall();
  });
}

// Writes what has changed; without the lock, since the disk may hang.
void Jobs::keep_states() {
  std::vector<std::pair<JobNumber, Entry>> changed;
  {
    const std::lock_guard lock(mutex_);
    const auto now = clocks_.steady();
    for (auto& [number, entry] : jobs_) {
      if (entry.unkept && (stopping_ || now >= entry.retry_at)) {
        changed.emplace_back(number, entry);
        entry.unkept = false;
      }
    }
  }
  for (const auto& [number, entry] : changed) {
    auto kept = entry.made ? ok() : folders_.make(entry.view);
    if (kept) {
      kept = folders_.write_state(entry.view);
    }
    if (kept) {
      const std::lock_guard lock(mutex_);
      jobs_[number].made = true;
      continue;
    }
    log_.log(LogLevel::kError,
             "the state of a job cannot be written",
             {{"job", entry.view.id}, {"why", kept.error().text()}});
    const std::lock_guard lock(mutex_);
    Entry& refused = jobs_[number];
    refused.unkept = true;
    refused.retry_at = clocks_.steady() + kRetryEvery;
    if (entry.view.state == JobState::kWaiting) {
      JobView& view = refused.view;
      view.state = JobState::kFailed;
      view.what.clear();
      view.why = kept.error().text();
      view.ended = clocks_.wall();
      ++version_;
    }
  }
}

void Jobs::told(const JobView& view) {
  const JobRequest& request = view.request;
  const std::string state(job_word(view.state));
  log_.log(
      view.state == JobState::kFailed ? LogLevel::kWarning : LogLevel::kInfo,
      "a job ended",
      {{"job", view.id},
       {"kind", job_word(request.kind)},
       {"state", state},
       {"why", view.why}});
  if (request.kind != JobKind::kExport) {
    std::vector<LogDetail> details{
        {"result", state},
        {"job", view.id},
        {"kind", std::string(job_word(request.kind))},
        {"by", request.by}};
    if (view.record) {
      details.push_back({"record", *view.record});
    }
    if (!view.why.empty()) {
      details.push_back({"why", view.why});
    }
    chronicle_.tell(LogKind::kSolveEnded,
                    fmt::format("job {} ({}) {}: {}",
                                view.id,
                                job_word(request.kind),
                                state,
                                view.why.empty() ? view.what : view.why),
                    std::move(details));
  } else if (view.state == JobState::kDone) {
    chronicle_.tell(
        LogKind::kExportMade,
        fmt::format("job {} made {}", view.id, view.what),
        {{"job", view.id},
         {"by", request.by},
         {"files_count", static_cast<std::int64_t>(view.files.size())},
         {"bytes", static_cast<std::int64_t>(bytes_of(view))}});
  }
}

// The oldest go, and the files of older exports where all take too much.
void Jobs::tidy() {
  std::vector<std::string> gone, emptied;
  {
    const std::lock_guard lock(mutex_);
    std::size_t ended = 0;
    std::uint64_t bytes = 0;
    for (auto at = jobs_.rbegin(); at != jobs_.rend(); ++at) {
      JobView& view = at->second.view;
      if (!has_ended(view.state)) {
        continue;
      }
      if (++ended > options_.keep) {
        gone.push_back(view.id);
        continue;
      }
      bytes += bytes_of(view);
      if (bytes > options_.most_export_bytes && !view.files.empty()) {
        bytes -= bytes_of(view);
        view.files.clear();
        view.what = "Its files were deleted to make room for newer ones.";
        at->second.unkept = true;
        emptied.push_back(view.id);
      }
    }
    for (const std::string& id : gone) {
      jobs_.erase(*job_number(id));
    }
    version_ += gone.size() + emptied.size();
  }
  for (const std::string& id : gone) {
    folders_.remove(id);
  }
  for (const std::string& id : emptied) {
    folders_.remove_files(id);
  }
}

}  // namespace stillpoint::station
