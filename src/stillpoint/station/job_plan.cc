#include "stillpoint/station/job_plan.h"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using fetch::Quality;

constexpr double kHourS = 3600, kDayS = 86'400;
constexpr std::int64_t kDayNs = std::int64_t{86'400} * GnssTime::kNsPerS;
constexpr std::int64_t kHourNs = std::int64_t{3600} * GnssTime::kNsPerS;
// Of the first hour.
constexpr std::array<double, 3> kFirstS{15 * 60.0, 30 * 60.0, kHourS};
constexpr double kDayNeedsS = 12 * kHourS;
// So long without an epoch: the source has ended, and its last day with it.
constexpr double kIdleS = 600;
constexpr double kFirstFetchS = 6 * kHourS, kAgainS = 6 * kHourS;
constexpr double kLastFetchS = 25 * kDayS;
constexpr std::uint32_t kMostTries = 100;
constexpr std::size_t kMostDays = 800;  // that are remembered

GnssTime day_begin(GnssTime t) {
  return GnssTime::from_ns(t.ns() / kDayNs * kDayNs);
}

struct Epochs {
  GnssTime first, last;
};

std::optional<Epochs> epochs_of(const PlanInput& input,
                                std::optional<GnssTime> from) {
  std::optional<Epochs> all;
  for (const RecordedSpan& span : input.recorded) {
    const GnssTime first = from ? std::max(span.first, *from) : span.first;
    if (first > span.last) {
      continue;
    }
    all = all ? Epochs{std::min(all->first, first),
                       std::max(all->last, span.last)}
              : Epochs{first, span.last};
  }
  return all;
}

std::optional<GnssTime> later(std::optional<GnssTime> a, GnssTime b) {
  return a ? std::max(*a, b) : b;
}

// Where the next growing position ends; nothing where it is too early.
std::optional<GnssTime> growth_end(const JobMemory& memory,
                                   const Epochs& epochs) {
  const std::optional<GnssTime> before = memory.growth_end;
  const bool same_session =
      before && *before > epochs.first && *before <= epochs.last + Duration{1};
  if (same_session && (*before - epochs.first).s >= kHourS) {
    const std::int64_t hours = (epochs.last.ns() - before->ns()) / kHourNs;
    return hours < 1 ? std::nullopt
                     : std::optional(
                           GnssTime::from_ns(before->ns() + hours * kHourNs));
  }
  const double passed_s = (epochs.last - epochs.first).s;
  if (passed_s >= 2 * kHourS) {
    const std::int64_t hours = (epochs.last.ns() - epochs.first.ns()) / kHourNs;
    return GnssTime::from_ns(epochs.first.ns() + hours * kHourNs);
  }
  std::optional<GnssTime> end;
  for (const double at_s : kFirstS) {
    const GnssTime at = epochs.first + Duration{at_s};
    if (passed_s >= at_s && !(same_session && *before >= at)) {
      end = at;
    }
  }
  return end;
}

// Whether a whole day of data has been grown into, and this end is of the same
// day as the last one: what a later hour would add is not worth a record.
bool has_grown(const JobMemory& memory, const Epochs& recent, GnssTime end) {
  const auto& before = memory.growth_end;
  return before && *before > recent.first &&
         (recent.last - recent.first).s >= kDayS - 60 &&
         before->ns() / kDayNs == end.ns() / kDayNs;
}

std::optional<PlannedJob> plan_growth(const PlanInput& input) {
  if (!input.settings.growth || input.growth_waits) {
    return std::nullopt;
  }
  const auto all = epochs_of(input, input.not_before);
  if (!all) {
    return std::nullopt;
  }
  const GnssTime day_ago = all->last - Duration{kDayS};
  const auto recent = epochs_of(input, later(input.not_before, day_ago));
  const auto end = growth_end(input.memory, *recent);
  if (!end || has_grown(input.memory, *recent, *end)) {
    return std::nullopt;
  }
  PlannedJob job;
  job.request.kind = JobKind::kGrowth;
  job.request.by = kByStation;
  job.request.end = *end;
  job.request.start =
      epochs_of(input, later(input.not_before, *end - Duration{kDayS}))->first;
  const bool early = (job.request.end - job.request.start).s < kHourS;
  job.request.method = early ? JobMethod::kCode : JobMethod::kAuto;
  // Others come later than the data of today.
  job.fetch = !early && std::any_of(input.lines.begin(),
                                    input.lines.end(),
                                    [](const FetchLine& line) {
                                      return line.quality == Quality::kUltra;
                                    });
  return job;
}

// How much of a day there is [s].
double seconds_of_day(const PlanInput& input, GnssTime day) {
  const GnssTime end = day + Duration{kDayS};
  double sum_s = 0;
  for (const RecordedSpan& span : input.recorded) {
    sum_s +=
        std::max(0.0, (std::min(span.last, end) - std::max(span.first, day)).s);
  }
  return sum_s;
}

std::set<GnssTime> days_of(const PlanInput& input) {
  std::set<GnssTime> days;
  for (const RecordedSpan& span : input.recorded) {
    GnssTime day = day_begin(span.first);
    // A damaged span must not keep us here.
    for (std::size_t i = 0; day <= span.last && i < kMostDays; ++i) {
      days.insert(day);
      day = day + Duration{kDayS};
    }
  }
  return days;
}

bool is_over(const PlanInput& input, GnssTime day, GnssTime last) {
  const GnssTime end = day + Duration{kDayS};
  return last >= end ||
         (input.idle_s >= kIdleS && input.now >= end + Duration{kIdleS});
}

bool is_better(Quality quality, const std::optional<Quality>& than) {
  return !than || quality < *than;
}

bool too_soon(const std::optional<GnssTime>& before, GnssTime now) {
  // A clock that was set back must not hold it up for years.
  return before && now < *before + Duration{kAgainS} && now >= *before;
}

// Whether asking is worth a solve, by the usual times.
bool fetch_is_due(const PlanInput& input,
                  GnssTime day,
                  GnssTime last,
                  const DayDone& done) {
  const GnssTime end = day + Duration{kDayS};
  // A recording that is played now may be years old.
  const double age_s = std::min((input.now - end).s, (last - end).s);
  const bool late = age_s > kLastFetchS && (done.fetched || done.best);
  if (late || input.now < end + Duration{kFirstFetchS} ||
      too_soon(done.fetched, input.now)) {
    return false;
  }
  return std::any_of(
      input.lines.begin(), input.lines.end(), [&](const FetchLine& line) {
        return is_better(line.quality, done.best) &&
               input.now >= end + Duration{line.latency_s};
      });
}

std::optional<PlannedJob> plan_day(const PlanInput& input) {
  const auto all = epochs_of(input, std::nullopt);
  if (!input.settings.day || input.day_waits || !all) {
    return std::nullopt;
  }
  const std::set<GnssTime> days = days_of(input);
  for (auto at = days.rbegin(); at != days.rend(); ++at) {
    const GnssTime day = *at;
    const GnssTime end = day + Duration{kDayS};
    if (!is_over(input, day, all->last) ||
        (input.not_before && day < *input.not_before) ||
        seconds_of_day(input, day) < kDayNeedsS) {
      continue;
    }
    const auto known = input.memory.days.find(day);
    const DayDone done =
        known == input.memory.days.end() ? DayDone{} : known->second;
    if (done.tries >= kMostTries) {
      continue;
    }
    const auto set = input.shelf.choose(day, end, done.lines);
    const bool from_shelf =
        set && !too_soon(done.tried, input.now) &&
        (done.lines.empty() ||
         (set->quality && is_better(*set->quality, done.best)));
    const bool fetching =
        !from_shelf && fetch_is_due(input, day, all->last, done);
    if (!from_shelf && !fetching) {
      continue;
    }
    PlannedJob job;
    job.request.kind = JobKind::kDay;
    job.request.by = kByStation;
    job.request.start = day;
    job.request.end = end;
    job.request.method = JobMethod::kPpp;
    job.fetch = fetching;
    job.not_these = done.lines;
    return job;
  }
  return std::nullopt;
}

std::string note_of(const PlanInput& input) {
  const config::SolveSection& s = input.settings;
  if (!s.growth && !s.day) {
    return "The station computes no positions by itself: growth and day of "
           "[solve] are off.";
  }
  if (!input.lines.empty()) {
    return "";
  }
  if (s.products.empty()) {
    return s.fetch ? "Only positions of the codes grow: the list of archives "
                     "cannot be read, or has no orbits and clocks of one "
                     "agency."
                   : "Only positions of the codes grow: [solve] names no "
                     "folder with product files, and fetches none.";
  }
  const auto all = epochs_of(input, std::nullopt);
  if (!all) {
    return "";
  }
  const GnssTime from = std::max(all->first, all->last - Duration{kDayS});
  if (input.shelf.choose(from, std::max(all->last, from + Duration{1}))) {
    return "";
  }
  return "The folder of products has no orbits and clocks of one agency for " +
         format_gpst(day_begin(all->last)).substr(0, 10) +
         " yet; until then positions grow by the codes.";
}

}  // namespace

std::vector<FetchLine> fetch_lines(const fetch::ArchiveList& list) {
  std::vector<FetchLine> lines;
  for (const fetch::ProductLine& orbits : list.products) {
    for (const fetch::ProductLine& clocks : list.products) {
      if (orbits.kind == fetch::ProductKind::kOrbits &&
          clocks.kind == fetch::ProductKind::kClocks &&
          orbits.quality == clocks.quality && orbits.agency == clocks.agency &&
          orbits.campaign == clocks.campaign) {
        lines.push_back(
            {orbits.quality, std::max(orbits.latency_s, clocks.latency_s)});
      }
    }
  }
  return lines;
}

Plan plan_jobs(const PlanInput& input) {
  return {plan_growth(input), plan_day(input), note_of(input)};
}

void remember_growth(JobMemory& memory, GnssTime end) {
  memory.growth_end = end;
}

void remember_try(JobMemory& memory, const PlannedJob& day, GnssTime now) {
  DayDone& done = memory.days[day.request.start];
  (day.fetch ? done.fetched : done.tried) = now;
  ++done.tries;
}

void remember_day(JobMemory& memory, GnssTime day, const std::string& line) {
  DayDone& done = memory.days[day];
  if (!line.empty() && std::find(done.lines.begin(), done.lines.end(), line) ==
                           done.lines.end()) {
    done.lines.push_back(line);
    const auto quality = line_quality(line);
    if (quality && is_better(*quality, done.best)) {
      done.best = quality;
    }
    done.tried.reset();
  }
  while (memory.days.size() > kMostDays) {
    memory.days.erase(memory.days.begin());
  }
}

}  // namespace stillpoint::station
