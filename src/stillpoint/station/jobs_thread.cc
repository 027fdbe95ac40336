// What the thread of the jobs does: jobs.h has the class, jobs.cc what others
// ask of it, jobs_states.cc how states change and are kept.
#include <fmt/format.h>

#include <algorithm>
#include <thread>
#include <utility>

#include "stillpoint/fetch/archives_toml.h"
#include "stillpoint/station/job_words.h"
#include "stillpoint/station/jobs.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

constexpr nanoseconds kTurn = std::chrono::milliseconds{200};
constexpr nanoseconds kIdleTurn = std::chrono::seconds{1};
constexpr nanoseconds kLinesEvery = std::chrono::minutes{10};
constexpr std::size_t kMostShelf = 20'000;
constexpr std::size_t kMostList = std::size_t{256} * 1024;
constexpr std::uint64_t kMb = std::uint64_t{1} << 20U;

}  // namespace

void Jobs::run() {
  while (true) {
    {
      std::unique_lock lock(mutex_);
      wake_.wait_for(
          lock, run_ ? kTurn : kIdleTurn, [&] { return stopping_ || woken_; });
      woken_ = false;
      if (stopping_) {
        break;
      }
    }
    turn();
  }
  end_run();
  keep_states();
}

void Jobs::turn() {
  heart_.beat(clocks_.steady());
  if (run_) {
    watch_run();
  }
  const auto now = clocks_.steady();
  if (!planned_at_ || now - *planned_at_ >= options_.plan_every) {
    planned_at_ = now;
    plan();
    tidy();
  }
  keep_states();
  if (!run_) {
    start_next();
  }
}

std::vector<FetchLine> Jobs::lines(const Settings& settings) {
  const std::string& path = settings.solve.archives;
  if (!settings.solve.fetch || path.empty()) {
    lines_of_.clear();
    return {};
  }
  const auto now = clocks_.steady();
  if (path == lines_of_ && lines_at_ && now - *lines_at_ < kLinesEvery) {
    return lines_;
  }
  lines_of_ = path;
  lines_at_ = now;
  lines_.clear();
  const auto text = read_small_file(path, kMostList);
  const auto list =
      text ? fetch::parse_archives(*text, path) : fail(text.error());
  if (list) {
    lines_ = fetch_lines(*list);
    lines_problem_.clear();
    return lines_;
  }
  const std::string problem = list.error().text();
  if (problem != lines_problem_) {
    log_.log(LogLevel::kWarning,
             "the list of archives cannot be used",
             {{"why", problem}});
    lines_problem_ = problem;
  }
  return {};
}

void Jobs::plan() {
  const Settings now = settings();
  PlanInput input;
  input.settings = now.solve;
  if (options_.recorded) {
    RecordedFacts facts = options_.recorded();
    input.recorded = std::move(facts.spans);
    input.idle_s = facts.idle_s;
    input.not_before = facts.not_before;
  }
  input.now = clocks_.wall();
  input.shelf = ProductShelf(files_below(now.solve.products, kMostShelf));
  input.lines = lines(now);
  input.memory = memory_;
  {
    const std::lock_guard lock(mutex_);
    for (const auto& [number, entry] : jobs_) {
      const bool open = !has_ended(entry.view.state);
      const JobKind kind = entry.view.request.kind;
      input.growth_waits |= open && kind == JobKind::kGrowth;
      input.day_waits |= open && kind == JobKind::kDay;
    }
  }
  Plan planned = plan_jobs(input);
  if (planned.growth) {
    remember_growth(memory_, planned.growth->request.end);
  }
  if (planned.day) {
    remember_try(memory_, *planned.day, input.now);
  }
  {
    const std::lock_guard lock(mutex_);
    note_ = std::move(planned.note);
    for (auto* job : {&planned.growth, &planned.day}) {
      if (*job) {
        add(std::move((*job)->request));
      }
    }
  }
  if (planned.growth || planned.day) {
    save_memory();
  }
}

void Jobs::save_memory() {
  if (const auto kept = folders_.write_memory(memory_); !kept) {
    log_.log(LogLevel::kError,
             "what was computed cannot be remembered",
             {{"why", kept.error().text()}});
  }
}

Result<RunContext> Jobs::context_of(const JobView& view) {
  const Settings now = settings();
  RunContext context;
  context.program = options_.program;
  context.config = options_.config;
  context.folder = folders_.folder(view.id);
  context.cache = options_.cache;
  context.settings = now.solve;
  context.nav_files = now.nav_files;
  context.most_bytes = options_.most_export_bytes;
  // The recording makes room for itself down to that mark; half of it is left
  // to jobs, so that a full card does not end them for good.
  context.least_free_bytes = now.leave_free_bytes / 2;
  context.free_bytes = options_.free_bytes;
  const auto free = options_.free_bytes ? options_.free_bytes() : std::nullopt;
  if (free && *free < context.least_free_bytes) {
    return fail(ErrorCode::kIo,
                fmt::format("only {} MB are free on the disk, which are for "
                            "the recording; make room",
                            *free / kMb));
  }
  const JobRequest& request = view.request;
  if (options_.recorded) {
    context.received =
        received_apart(options_.recorded().spans, request.start, request.end);
  }
  if (request.kind == JobKind::kExport) {
    return context;
  }
  context.shelf = ProductShelf(files_below(now.solve.products, kMostShelf));
  const std::vector<FetchLine> known = lines(now);
  context.fetch = !known.empty();
  if (request.kind == JobKind::kGrowth) {
    context.fetch = std::any_of(known.begin(), known.end(), [](auto& line) {
      return line.quality == fetch::Quality::kUltra;
    });
  }
  if (request.kind == JobKind::kDay) {
    context.not_these = memory_.days[request.start].lines;
  }
  return context;
}

// People before the station itself, else in the order of asking; 0: none.
JobNumber Jobs::next_waiting() const {
  for (const bool own : {false, true}) {
    for (const auto& [number, entry] : jobs_) {
      if (entry.made && entry.view.state == JobState::kWaiting &&
          is_own(entry.view.request.kind) == own) {
        return number;
      }
    }
  }
  return 0;
}

void Jobs::start_next() {
  JobNumber number = 0;
  JobView view;
  {
    const std::lock_guard lock(mutex_);
    number = next_waiting();
    if (number == 0) {
      return;
    }
    JobView& chosen = jobs_[number].view;
    chosen.state = JobState::kRunning;
    chosen.started = clocks_.wall();
    cancelled_by_.clear();
    view = chosen;
  }
  auto context = context_of(view);
  auto started =
      context
          ? JobRun::start(view.request, std::move(*context), clocks_.steady())
          : fail(context.error());
  if (!started) {
    fail_job(number, started.error().text());
    if (const auto failed = find(view.id)) {
      told(*failed);
    }
    keep_states();
    return;
  }
  run_ = std::move(*started);
  running_ = number;
  change(number, [&](JobView& job) {
    job.step = run_->step();
    job.what = run_->what();
  });
  keep_states();
  if (view.request.kind != JobKind::kExport) {
    chronicle_.tell(LogKind::kSolveStarted,
                    fmt::format("job {} ({}) computes a position",
                                view.id,
                                job_word(view.request.kind)),
                    {{"job", view.id},
                     {"kind", std::string(job_word(view.request.kind))},
                     {"by", view.request.by}});
  }
}

void Jobs::watch_run() {
  {
    const std::lock_guard lock(mutex_);
    if (!cancelled_by_.empty()) {
      run_->stop(JobState::kCancelled, "cancelled by " + cancelled_by_);
      cancelled_by_.clear();
    }
  }
  auto end = run_->tick(clocks_.steady());
  if (end) {
    finish(std::move(*end));
    return;
  }
  const std::lock_guard lock(mutex_);
  JobView& view = jobs_[running_].view;
  version_ += view.step != run_->step() ? 1 : 0;
  view.step = run_->step();
  view.progress = run_->progress();
  view.what = run_->what();
}

// A day's products are used once: the same again are no news.
void Jobs::take_record(RunEnd& end, JobView& view) {
  const bool day = view.request.kind == JobKind::kDay;
  const std::vector<std::string> before =
      day ? memory_.days[view.request.start].lines : std::vector<std::string>{};
  if (day && !end.products.empty()) {
    remember_day(memory_, view.request.start, end.products);
    save_memory();
  }
  if (end.state != JobState::kDone || end.document.empty()) {
    return;
  }
  if (std::find(before.begin(), before.end(), end.products) != before.end()) {
    end.what = "The same products as before: there is nothing new.";
    return;
  }
  auto stored =
      options_.store
          ? options_.store(end.document, view.request.kind, view.request.by)
          : fail(ErrorCode::kInternal, "nobody keeps records");
  if (stored) {
    view.record = *stored;
    return;
  }
  end.state = JobState::kFailed;
  end.what.clear();
  end.why = "the position cannot be kept: " + stored.error().text();
}

void Jobs::finish(RunEnd end) {
  run_.reset();
  const JobNumber number = std::exchange(running_, 0);
  auto view = find(std::to_string(number));
  if (!view) {
    return;
  }
  take_record(end, *view);
  change(number, [&](JobView& job) {
    job.state = end.state;
    job.ended = clocks_.wall();
    job.step.clear();
    job.progress.reset();
    job.what = end.what;
    job.why = end.why;
    job.products = end.products;
    job.report = end.report;
    job.files = end.files;
    job.record = view->record;
  });
  if (const auto done = find(view->id)) {
    told(*done);
  }
  tidy();
}

void Jobs::end_run() {
  if (!run_) {
    return;
  }
  run_->stop(JobState::kFailed, kStationEnded);
  std::optional<RunEnd> end;
  while (!(end = run_->tick(clocks_.steady()))) {
    heart_.beat(clocks_.steady());
    std::this_thread::sleep_for(std::chrono::milliseconds{20});
  }
  finish(std::move(*end));
}

}  // namespace stillpoint::station
