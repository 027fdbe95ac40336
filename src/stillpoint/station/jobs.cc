#include "stillpoint/station/jobs.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

namespace stillpoint::station {
namespace {

constexpr std::uint64_t kMb = std::uint64_t{1} << 20U;

std::vector<std::string> files_of(const std::vector<std::string>& sources) {
  std::vector<std::string> files;
  for (const std::string& source : sources) {
    if (!config::is_source(source)) {
      files.push_back(source);
    }
  }
  return files;
}

std::string absolute(const std::string& path) {
  std::error_code error;
  const auto full = std::filesystem::absolute(path, error);
  return error ? path : full.string();
}

}  // namespace

Jobs::Jobs(JobsOptions options,
           const config::StationConfig& config,
           Clocks clocks,
           Chronicle& chronicle,
           Logger log)
    : options_([&] {
        options.folder = absolute(options.folder);
        options.cache = absolute(options.cache);
        options.config = absolute(options.config);
        return std::move(options);
      }()),
      clocks_(std::move(clocks)),
      chronicle_(chronicle),
      log_(std::move(log)),
      folders_(options_.folder) {
  set_config(config);
}

Status Jobs::open() {
  auto found = folders_.read();
  if (!found) {
    return fail(std::move(found.error()));
  }
  for (const std::string& folder : found->problems) {
    log_.log(LogLevel::kWarning,
             "a job cannot be read and is passed over",
             {{"where", folder}});
  }
  const std::lock_guard lock(mutex_);
  memory_ = std::move(found->memory);
  next_ = found->highest + 1;
  for (auto& [number, view] : found->jobs) {
    Entry& entry = jobs_[number];
    entry.made = true;
    entry.view = std::move(view);
    if (entry.view.state == JobState::kRunning) {
      entry.view.state = JobState::kFailed;
      entry.view.why = kStationEnded;
      entry.view.ended = clocks_.wall();
      entry.unkept = true;
      folders_.remove_work(entry.view.id);
    }
  }
  return ok();
}

void Jobs::set_config(const config::StationConfig& config) {
  const std::lock_guard lock(mutex_);
  settings_ = {config.solve,
               files_of(config.receiver.nav_sources),
               config.archive.leave_free_mb * kMb};
  woken_ = true;
  wake_.notify_one();
}

Jobs::Settings Jobs::settings() const {
  const std::lock_guard lock(mutex_);
  return settings_;
}

std::vector<JobView> Jobs::list() const {
  const std::lock_guard lock(mutex_);
  std::vector<JobView> views;
  views.reserve(jobs_.size());
  for (auto at = jobs_.rbegin(); at != jobs_.rend(); ++at) {
    views.push_back(at->second.view);
  }
  return views;
}

std::optional<JobView> Jobs::find(const std::string& id) const {
  const auto number = job_number(id);
  const std::lock_guard lock(mutex_);
  const auto at = number ? jobs_.find(*number) : jobs_.end();
  return at == jobs_.end() ? std::nullopt : std::optional(at->second.view);
}

std::optional<JobView> Jobs::at_work() const {
  const std::lock_guard lock(mutex_);
  for (const auto& [number, entry] : jobs_) {
    if (entry.view.state == JobState::kRunning) {
      return entry.view;
    }
  }
  return std::nullopt;
}

std::string Jobs::note() const {
  const std::lock_guard lock(mutex_);
  return note_;
}

std::optional<std::string> Jobs::report(const std::string& id) const {
  const auto view = find(id);
  return view && view->report
             ? std::optional(folders_.folder(view->id) + "/report.html")
             : std::nullopt;
}

std::optional<std::string> Jobs::log(const std::string& id) const {
  const auto view = find(id);
  return view && view->started
             ? std::optional(folders_.folder(view->id) + "/log.txt")
             : std::nullopt;
}

std::optional<std::string> Jobs::file(const std::string& id,
                                      const std::string& name) const {
  const auto view = find(id);
  if (!view) {
    return std::nullopt;
  }
  for (const JobFile& made : view->files) {
    if (made.name == name) {
      return folders_.folder(view->id) + "/files/" + made.name;
    }
  }
  return std::nullopt;
}

JobNumber Jobs::add(JobRequest request) {
  const JobNumber number = next_++;
  Entry& entry = jobs_[number];
  entry.view.id = std::to_string(number);
  entry.view.request = std::move(request);
  entry.view.asked = clocks_.wall();
  entry.view.what = "Waits for its turn.";
  entry.unkept = true;
  woken_ = true;
  ++version_;
  wake_.notify_one();
  return number;
}

Result<std::string> Jobs::ask(JobRequest request) {
  if (is_own(request.kind)) {
    return fail(ErrorCode::kUsage,
                "the station asks for such jobs itself",
                "kind",
                "ask for solve or export");
  }
  if (auto fits = check_request(request); !fits) {
    return fail(std::move(fits.error()));
  }
  const std::lock_guard lock(mutex_);
  const auto waiting =
      std::count_if(jobs_.begin(), jobs_.end(), [](const auto& job) {
        const JobView& view = job.second.view;
        return view.state == JobState::kWaiting && !is_own(view.request.kind);
      });
  if (static_cast<std::size_t>(waiting) >= options_.most_waiting) {
    return fail(ErrorCode::kTooLarge,
                fmt::format("{} jobs wait already", waiting),
                "",
                "wait until some have ended, or cancel some");
  }
  return std::to_string(add(std::move(request)));
}

Status Jobs::cancel(const std::string& id, const std::string& by) {
  const auto number = job_number(id);
  const std::lock_guard lock(mutex_);
  const auto at = number ? jobs_.find(*number) : jobs_.end();
  if (at == jobs_.end()) {
    return fail(ErrorCode::kNoData, "there is no such job", id);
  }
  JobView& view = at->second.view;
  if (has_ended(view.state)) {
    return fail(ErrorCode::kUsage,
                "it has ended",
                id,
                "only what waits or runs can be cancelled");
  }
  if (view.state == JobState::kRunning) {
    cancelled_by_ = by;
  } else {
    view.state = JobState::kCancelled;
    view.why = "cancelled by " + by;
    view.what.clear();
    view.ended = clocks_.wall();
    at->second.unkept = true;
    ++version_;
  }
  woken_ = true;
  wake_.notify_one();
  return ok();
}

void Jobs::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  wake_.notify_all();
}

}  // namespace stillpoint::station
