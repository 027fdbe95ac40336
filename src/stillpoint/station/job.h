// A job: work on the recorded data that a process of its own does, because the
// station itself must never wait for it. What is asked, and what is shown.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::station {

enum class JobKind : std::uint8_t {
  kGrowth,  // the station's own, every hour, of the last day
  kDay,     // the station's own, of one whole day, by phases
  kSolve,   // a position that a person asked for
  kExport,  // files that a person asked for
};
enum class JobState : std::uint8_t {
  kWaiting,
  kRunning,
  kDone,
  kFailed,
  kCancelled,
};
enum class JobMethod : std::uint8_t {
  kAuto,  // phases where products can be had, else codes
  kCode,
  kPpp,
};

// As in JSON: "growth", "waiting", "auto", …
std::string_view job_word(JobKind kind);
std::string_view job_word(JobState state);
std::string_view job_word(JobMethod method);
std::optional<JobKind> job_kind(std::string_view word);
std::optional<JobState> job_state(std::string_view word);
std::optional<JobMethod> job_method(std::string_view word);

// On whose behalf the station's own jobs are.
inline constexpr std::string_view kByStation = "station";
// Why a job failed that was at work then.
inline constexpr const char* kStationEnded = "the station ended meanwhile";

struct JobRequest {
  JobKind kind = JobKind::kSolve;
  std::string by;       // a person's name, or kByStation
  GnssTime start, end;  // epochs, half open
  JobMethod method = JobMethod::kAuto;

  // Of kExport.
  std::string format = "3.05";  // "2.11", "3.05", "4.02"
  std::optional<double> interval_s;
  bool hatanaka = false, gzip = false;
};

//   errors   kUsage with what is allowed: no span or one over 31 days, a
//            format that there is not, an interval of which a day is no whole
//            number
Status check_request(const JobRequest& request);

struct JobFile {
  std::string name;
  std::uint64_t bytes = 0;
  friend bool operator==(const JobFile&, const JobFile&) = default;
};

// As docs/api.md shows it.
struct JobView {
  std::string id;
  JobRequest request;
  JobState state = JobState::kWaiting;
  GnssTime asked;
  std::optional<GnssTime> started, ended;
  std::string step;                // "export", "products", "solve"; empty
  std::optional<double> progress;  // of the step, 0 .. 1; nothing: not known
  std::string what;                // one sentence
  std::string why;                 // of what failed or was cancelled
  std::optional<std::int64_t> record;
  bool report = false;
  std::vector<JobFile> files;
  // Whose products were used: "AAA0OPSFIN", "broadcast"; empty: not known.
  std::string products;
};

// Those that the station asks for itself.
inline bool is_own(JobKind kind) {
  return kind == JobKind::kGrowth || kind == JobKind::kDay;
}
inline bool has_ended(JobState state) {
  return state != JobState::kWaiting && state != JobState::kRunning;
}

// A stretch of the recording, such as one segment.
struct RecordedSpan {
  GnssTime received_from, received_to;  // by the computer's clock
  GnssTime first, last;                 // epochs
};

}  // namespace stillpoint::station
