// What the station computes by itself, and when: a position that grows with the
// data, and one of every whole day. Pure: what is recorded, what time it is and
// what was done come from the caller.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/config/station_config.h"
#include "stillpoint/fetch/product_line.h"
#include "stillpoint/station/job.h"
#include "stillpoint/station/job_products.h"

namespace stillpoint::station {

// What was tried for one day.
struct DayDone {
  std::vector<std::string> lines;      // products that were used
  std::optional<fetch::Quality> best;  // of them
  // When it was last tried: with files of the shelf, which gave no document;
  // with fetching.
  std::optional<GnssTime> tried, fetched;
  std::uint32_t tries = 0;  // of both
  friend bool operator==(const DayDone&, const DayDone&) = default;
};

// What is kept of jobs that are no longer in the list.
struct JobMemory {
  std::optional<GnssTime> growth_end;  // of the last growing position
  std::map<GnssTime, DayDone> days;    // by their beginnings
  friend bool operator==(const JobMemory&, const JobMemory&) = default;
};

// Products that may be fetched: orbits and clocks of one agency.
struct FetchLine {
  fetch::Quality quality = fetch::Quality::kFinal;
  double latency_s = 0;  // from the end of the data
};
std::vector<FetchLine> fetch_lines(const fetch::ArchiveList& list);

struct PlanInput {
  config::SolveSection settings;
  std::vector<RecordedSpan> recorded;  // in any order
  GnssTime now;                        // by the computer's clock
  double idle_s = 0;                   // since the last epoch came
  // Data before it are of another place: the antenna was moved.
  std::optional<GnssTime> not_before;
  ProductShelf shelf;
  std::vector<FetchLine> lines;  // empty without fetching
  // Jobs of the station's own that wait or run.
  bool growth_waits = false, day_waits = false;
  JobMemory memory;
};

struct PlannedJob {
  JobRequest request;
  bool fetch = false;                    // may fetch what the shelf has not
  std::vector<std::string> not_these{};  // products that were used already
};

struct Plan {
  std::optional<PlannedJob> growth, day;
  // Why positions grow by codes only, or not at all; empty: nothing is missing.
  std::string note;
};

// Growth: when an hour of epochs has passed since the last one, over the last
// 24 hours at most; in the first hour also at 15 and 30 minutes, by codes.
// After a whole day of data it comes once a day. Who plays a recording fast
// gets the newest hour only.
//
// Days: every GPST day that is over and has 12 hours of epochs. Products of the
// shelf are used at once, each line of them once, better ones after worse ones;
// what could not be read is tried again after 6 hours. With fetching a day is
// tried from 6 hours after its end, every 6 hours, where a better quality than
// the one that was used is due by its usual time; until final products were
// used, or 25 days (or 100 tries) are over. The newest day first.
Plan plan_jobs(const PlanInput& input);

// What is to be remembered of a job that is asked for, and of a day's that
// ended with a document.
//
//   line   of the products that were used
void remember_growth(JobMemory& memory, GnssTime end);
void remember_try(JobMemory& memory, const PlannedJob& day, GnssTime now);
void remember_day(JobMemory& memory, GnssTime day, const std::string& line);

}  // namespace stillpoint::station
