#include "stillpoint/station/job.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace stillpoint::station {
namespace {

constexpr std::array<std::string_view, 4> kKinds{
    "growth", "day", "solve", "export"};
constexpr std::array<std::string_view, 5> kStates{
    "waiting", "running", "done", "failed", "cancelled"};
constexpr std::array<std::string_view, 3> kMethods{"auto", "code", "ppp"};
constexpr std::array<std::string_view, 3> kFormats{"2.11", "3.05", "4.02"};

constexpr double kLongestS = 31 * 86'400.0;
constexpr std::int64_t kDayMs = 86'400'000;

template <class E, std::size_t kCount>
std::optional<E> found(const std::array<std::string_view, kCount>& words,
                       std::string_view word) {
  const auto at = std::find(words.begin(), words.end(), word);
  return at == words.end() ? std::nullopt
                           : std::optional(static_cast<E>(at - words.begin()));
}

bool is_interval(double seconds) {
  if (!(seconds >= 0.01 && seconds <= 86'400)) {
    return false;
  }
  const std::int64_t ms = std::llround(seconds * 1000);
  return std::abs(seconds * 1000 - static_cast<double>(ms)) < 1e-6 &&
         kDayMs % ms == 0;
}

}  // namespace

std::string_view job_word(JobKind kind) {
  return kKinds.at(static_cast<std::size_t>(kind));
}
std::string_view job_word(JobState state) {
  return kStates.at(static_cast<std::size_t>(state));
}
std::string_view job_word(JobMethod method) {
  return kMethods.at(static_cast<std::size_t>(method));
}
std::optional<JobKind> job_kind(std::string_view word) {
  return found<JobKind>(kKinds, word);
}
std::optional<JobState> job_state(std::string_view word) {
  return found<JobState>(kStates, word);
}
std::optional<JobMethod> job_method(std::string_view word) {
  return found<JobMethod>(kMethods, word);
}

Status check_request(const JobRequest& request) {
  const double length_s = (request.end - request.start).s;
  if (!(length_s > 0)) {
    return fail(ErrorCode::kUsage,
                "the end is not after the start",
                "end",
                "the span is half open: the start is in, the end is out");
  }
  if (length_s > kLongestS) {
    return fail(ErrorCode::kUsage,
                "the span is longer than 31 days",
                "end",
                "ask for it in parts");
  }
  if (request.kind != JobKind::kExport) {
    return ok();
  }
  if (std::find(kFormats.begin(), kFormats.end(), request.format) ==
      kFormats.end()) {
    return fail(ErrorCode::kUsage,
                "there is no such format",
                "format",
                "give 3.05, 4.02 or 2.11");
  }
  if (request.interval_s && !is_interval(*request.interval_s)) {
    return fail(ErrorCode::kUsage,
                "the interval is not in use",
                "interval_s",
                "give seconds of which a day is a whole number, such as 30");
  }
  return ok();
}

}  // namespace stillpoint::station
