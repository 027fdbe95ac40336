#include "stillpoint/station/job_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string_view>
#include <system_error>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/station/job_words.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::station {
namespace {

namespace fs = std::filesystem;
using std::chrono::nanoseconds;

constexpr nanoseconds kLookEvery = std::chrono::milliseconds{500};
constexpr std::size_t kMostDocument = std::size_t{4} << 20U;
constexpr std::size_t kMostLog = std::size_t{1} << 20U;
constexpr std::uint64_t kMb = std::uint64_t{1} << 20U;
constexpr int kExitGood = 0, kExitNo = 1;
// The shadow of a sanitizer alone is beyond any limit that makes sense.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool kLimitsMemory = false;
#else
constexpr bool kLimitsMemory = true;
#endif
// Where the verb notes how far it is (docs/formats/jobs.md).
constexpr const char* kProgress = "STILLPOINT_PROGRESS=";

std::string last_line(const std::string& path) {
  const auto text = read_small_file(path, kMostLog);
  const std::string_view all = text ? trim_right(*text) : std::string_view{};
  return std::string(all.substr(all.rfind('\n') + 1));
}

std::uint64_t bytes_below(const std::string& folder) {
  std::uint64_t sum = 0;
  std::error_code error;
  fs::recursive_directory_iterator at(folder, error), end;
  while (!error && at != end) {
    std::error_code of_file;
    if (at->is_regular_file(of_file)) {
      const std::uintmax_t size = at->file_size(of_file);
      sum += of_file ? 0 : size;
    }
    at.increment(error);
  }
  return sum;
}

void make_folder(const std::string& path, std::error_code& error) {
  fs::create_directory(path, error);
}

}  // namespace

JobRun::JobRun(JobRequest request, RunContext context, nanoseconds now)
    : request_(std::move(request)),
      context_(std::move(context)),
      started_(now) {}

std::string JobRun::path(const std::string& name) const {
  return context_.folder + "/" + name;
}

Result<JobRun> JobRun::start(JobRequest request,
                             RunContext context,
                             nanoseconds now) {
  JobRun run(std::move(request), std::move(context), now);
  std::error_code error;
  fs::remove_all(run.path("work"), error);
  make_folder(run.path("work"), error);
  if (!error && run.is_export()) {
    make_folder(run.path("files"), error);
  }
  if (error) {
    return fail(ErrorCode::kIo,
                "the job's folder cannot be written: " + error.message(),
                run.context_.folder);
  }
  if (auto begun = run.begin_export(); !begun) {
    return fail(std::move(begun.error()));
  }
  return run;
}

Status JobRun::begin(const std::vector<std::string>& words,
                     const std::string& out) {
  std::error_code ignored;
  fs::remove(path("work/progress"), ignored);
  std::ofstream(path("log.txt"), std::ios::app)
      << "stillpoint " << words.front() << '\n';
  progress_.reset();
  out_ = path(out);
  ChildOptions options;
  options.program = context_.program;
  options.words = words;
  options.folder = context_.folder;
  options.out = out_;
  options.log = path("log.txt");
  options.environment = {kProgress + path("work/progress")};
  options.behind = true;
  if (kLimitsMemory) {
    options.memory_bytes = context_.settings.memory_mb * kMb;
  }
  options.processor_s = std::uint64_t{context_.settings.longest_min} * 60;
  auto child = ChildProcess::start(options);
  if (!child) {
    return fail(std::move(child.error()));
  }
  child_ = std::move(*child);
  return ok();
}

Status JobRun::begin_export() {
  step_ = "export";
  what_ = "Reading what was recorded.";
  return begin(export_words(request_,
                            context_.config,
                            is_export() ? "files" : "work",
                            context_.received),
               "work/export.json");
}

std::optional<RunEnd> JobRun::begin_solve() {
  if (!solving_) {
    solving_ = true;
    if (request_.method != JobMethod::kPpp) {
      methods_.push_back(JobMethod::kCode);
    }
    set_ =
        context_.shelf.choose(request_.start, request_.end, context_.not_these);
    if (request_.method != JobMethod::kCode && (set_ || context_.fetch)) {
      methods_.push_back(JobMethod::kPpp);
    }
  }
  if (methods_.empty()) {
    return failed(earlier_why_.empty()
                      ? "no orbits and clocks of one agency cover this time; "
                        "put them into the folder that [solve] names, or let "
                        "the station fetch them"
                      : earlier_why_);
  }
  method_ = methods_.back();
  methods_.pop_back();
  const bool fetch = method_ == JobMethod::kPpp && !set_ && context_.fetch;
  SolveInputs inputs{exported_,
                     context_.nav_files,
                     set_,
                     fetch,
                     context_.cache,
                     context_.settings};
  step_ = fetch ? "products" : "solve";
  what_ = method_ == JobMethod::kCode ? "Computing by the codes."
          : fetch ? "Fetching products, then computing by the phases."
                  : fmt::format("Computing by the phases, with products {}.",
                                set_->line);
  std::error_code ignored;
  fs::remove(path("record.json"), ignored);
  fs::remove(path("report.html"), ignored);
  auto begun = write_private_file(path("locate.json"),
                                  locate_text(request_, method_, inputs));
  if (begun) {
    begun = begin({"locate", "--job", path("locate.json"), "--json"},
                  "work/answer.json");
  }
  return begun ? std::nullopt : std::optional(failed(begun.error().text()));
}

void JobRun::stop(JobState state, std::string why) {
  if (stopped_) {
    return;
  }
  stopped_.emplace();
  stopped_->state = state;
  stopped_->why = std::move(why);
  if (child_) {
    child_->stop();
  }
}

// A job must neither go on for ever nor crowd out the recording.
void JobRun::watch(nanoseconds now) {
  if (stopped_ || now - looked_ < kLookEvery) {
    return;
  }
  looked_ = now;
  read_progress();
  const auto longest = std::chrono::minutes{context_.settings.longest_min};
  if (now - started_ > longest) {
    stop(JobState::kFailed,
         fmt::format("it took longer than {} min (longest_min of [solve]) and "
                     "was ended",
                     context_.settings.longest_min));
    return;
  }
  if (bytes_below(path(is_export() ? "files" : "work")) > context_.most_bytes) {
    stop(JobState::kFailed,
         fmt::format("its files grew beyond {} MB; ask for a shorter time or a "
                     "longer interval",
                     context_.most_bytes / kMb));
    return;
  }
  const auto free = context_.free_bytes ? context_.free_bytes() : std::nullopt;
  if (free && *free < context_.least_free_bytes) {
    stop(JobState::kFailed,
         fmt::format("only {} MB are free on the disk, which are for the "
                     "recording; make room",
                     *free / kMb));
  }
}

// "1234 reading": what the verb counts, and what it does.
void JobRun::read_progress() {
  constexpr std::size_t kMost = 256;
  const auto text = read_small_file(path("work/progress"), kMost);
  const auto count =
      text ? parse_int(text->substr(0, text->find(' '))) : std::nullopt;
  if (!count || *count < 0) {
    return;
  }
  const bool reading = text->find(" reading") != std::string::npos;
  if (step_ == "products" && reading) {
    step_ = "solve";  // all were fetched
  }
  if (step_ == "solve" && reading && exported_.epochs > 0) {
    const double share =
        static_cast<double>(*count) / static_cast<double>(exported_.epochs);
    // What comes behind the reading has no measure.
    progress_ = share < 0.999 ? std::optional(share) : std::nullopt;
  }
}

std::optional<RunEnd> JobRun::tick(nanoseconds now) {
  watch(now);
  const auto code = child_ ? child_->ended() : std::optional<int>(0);
  if (!code) {
    return std::nullopt;
  }
  child_.reset();
  std::optional<RunEnd> end = std::move(stopped_);
  if (!end) {
    end = step_ == "export" ? after_export(*code) : after_solve(*code);
  }
  if (end) {
    std::error_code ignored;
    fs::remove_all(path("work"), ignored);
    if (is_export() && end->state != JobState::kDone) {
      fs::remove_all(path("files"), ignored);
    }
  }
  return end;
}

std::optional<RunEnd> JobRun::after_export(int code) {
  const auto answer = read_small_file(out_, kMostDocument);
  if (code != kExitGood) {
    return ended_by(code, answer.value_or(""));
  }
  if (is_export()) {
    return after_files();
  }
  auto exported = answer ? parse_exported(*answer) : fail(answer.error());
  if (!exported) {
    return failed(exported.error().text());
  }
  exported_ = std::move(*exported);
  return begin_solve();
}

RunEnd JobRun::after_files() {
  RunEnd end;
  std::error_code error;
  std::uint64_t bytes = 0;
  fs::directory_iterator at(path("files"), error), none;
  while (!error && at != none) {
    std::error_code of_file;
    const std::uintmax_t size = at->file_size(of_file);
    if (!of_file && at->is_regular_file(of_file)) {
      end.files.push_back({at->path().filename().string(), size});
      bytes += size;
    }
    at.increment(error);
  }
  if (end.files.empty()) {
    return failed("export made no file");
  }
  std::sort(end.files.begin(),
            end.files.end(),
            [](const JobFile& a, const JobFile& b) { return a.name < b.name; });
  end.state = JobState::kDone;
  end.what = fmt::format("{} files, {:.1f} MB.",
                         end.files.size(),
                         static_cast<double>(bytes) / kMb);
  return end;
}

std::optional<RunEnd> JobRun::after_solve(int code) {
  const auto document = read_small_file(path("record.json"), kMostDocument);
  const auto solved =
      document ? parse_solved(*document) : fail(document.error());
  if (!solved) {
    const auto answer = read_small_file(out_, kMostDocument);
    RunEnd end = ended_by(code, answer.value_or(""));
    // With other products, or without any, it may go.
    earlier_why_ = end.why;
    if (methods_.empty()) {
      return end;
    }
    std::ofstream(path("log.txt"), std::ios::app)
        << "by phases it cannot be done: " << earlier_why_ << '\n';
    return begin_solve();
  }
  RunEnd end;
  end.products = solved->products;
  std::error_code ignored;
  end.report = fs::is_regular_file(path("report.html"), ignored);
  if (code == kExitGood && solved->has_position) {
    end.state = JobState::kDone;
    end.document = *document;
    end.what = fmt::format("A position from {:.1f} hours of data ({}).",
                           (request_.end - request_.start).s / 3600,
                           solved->method);
    return end;
  }
  end.why = solved->why;
  if (end.why.empty()) {
    end.why = fmt::format("locate ended with {}", code);
  }
  end.what = code == kExitNo ? "There is a position that is not to be relied "
                               "on; see the report."
                             : "";
  return end;
}

RunEnd JobRun::failed(std::string why) const {
  RunEnd end;
  end.why = std::move(why);
  return end;
}

RunEnd JobRun::ended_by(int code, const std::string& answer) const {
  const std::string said = error_line(answer);
  if (!said.empty()) {
    return failed(said);
  }
  const std::string verb = solving_ ? "locate" : "export";
  const std::string last = last_line(path("log.txt"));
  std::string why =
      code >= ChildProcess::kBySignal
          ? fmt::format(
                "{} was ended by signal {}; it may take {} MB of "
                "memory and {} min (memory_mb, longest_min of [solve])",
                verb,
                code - ChildProcess::kBySignal,
                context_.settings.memory_mb,
                context_.settings.longest_min)
          : fmt::format("{} ended with {}", verb, code);
  if (!last.empty() && last != "stillpoint " + verb) {
    why += ": " + last;
  }
  return failed(std::move(why));
}

}  // namespace stillpoint::station
