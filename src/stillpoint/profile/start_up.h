// The start-up exchange with a receiver: sends a profile's steps one after the
// other and waits for their replies. A pure state machine: the caller hands in
// bytes and times, so that it has neither clock nor thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/profile/profile.h"

namespace stillpoint::profile {

class ReplyWatch;  // reply_watch.h

enum class StepOutcome : std::uint8_t {
  kNotReached,
  kUnderWay,
  kSent,      // no reply was asked for
  kAnswered,  // the reply came
  kRefused,   // the refusal came
  kNoAnswer,  // neither, at any try
  kSkipped,   // a value is missing: it waits for an adopted position
  kNotSent,   // a value does not fit, or the bytes could not be sent
};
const char* outcome_word(StepOutcome outcome);  // "no_answer"

struct StepReport {
  StepOutcome outcome = StepOutcome::kNotReached;
  unsigned tries = 0;  // times sent
  // By the caller's clock; nothing before it happened.
  std::optional<double> first_sent_s, ended_s;
  std::vector<std::uint8_t> sent;    // last try; empty: never sent
  std::vector<std::uint8_t> answer;  // its line, packet or bytes, whole
  // kNoAnswer: the first bytes since the first try that are nothing known.
  std::vector<std::uint8_t> other;
  std::vector<std::string> missing;  // kSkipped: the values' names
  std::optional<Error> error;        // kNotSent
};

// What happened just now; kSent of a try beyond the first is a retry.
enum class StepEventKind : std::uint8_t {
  kSent,
  kAnswered,
  kRefused,
  kTimedOut,  // this try; there may be another
  kSkipped,
  kNotSent,
};
struct StepEvent {
  StepEventKind kind = StepEventKind::kSent;
  std::size_t step = 0;
  unsigned try_number = 0;  // from 1 on; 0: was never sent
  double at_s = 0;
};

enum class StartUpState : std::uint8_t { kIdle, kRunning, kDone, kFailed };

class StartUp {
 public:
  // Both are called from begin(), on_bytes() and tick(), and call nothing here.
  struct Calls {
    std::function<Status(ByteSpan)> send;
    std::function<void(const StepEvent&)> on_event;  // may be empty
  };

  StartUp(Profile profile, const StationValues& values, Calls calls);
  ~StartUp();
  StartUp(const StartUp&) = delete;
  StartUp& operator=(const StartUp&) = delete;

  // For the next begin().
  void use(const StationValues& values) { values_ = values; }

  // From the first step on, whatever was before: at the start and after every
  // reconnect. Times never go back, from any zero.
  void begin(double now_s);
  // The stream as it came; costs nothing once the exchange is over.
  void on_bytes(ByteSpan bytes, double now_s);
  // At next_due_s() or later; earlier ones do nothing.
  void tick(double now_s);
  [[nodiscard]] std::optional<double> next_due_s() const { return due_s_; }

  // kDone: every step that must succeed did. Skipped and failed optional ones
  // are in the reports.
  [[nodiscard]] StartUpState state() const { return state_; }
  [[nodiscard]] const Profile& profile() const { return profile_; }
  // One a step.
  [[nodiscard]] const std::vector<StepReport>& reports() const {
    return reports_;
  }
  // A step was skipped: use() values and begin() again once there are some.
  [[nodiscard]] bool waits_for_values() const;

 private:
  [[nodiscard]] const Step& step() const { return profile_.steps[at_]; }
  [[nodiscard]] StepReport& report() { return reports_[at_]; }
  void go_on(double now_s);
  void begin_step(double now_s);
  void send_try(double now_s);
  void no_reply_in_time(double now_s);
  void end_step(StepOutcome outcome, double now_s);
  void tell(StepEventKind kind, double now_s);

  Profile profile_;
  StationValues values_;
  Calls calls_;
  StartUpState state_ = StartUpState::kIdle;
  std::vector<StepReport> reports_;
  std::unique_ptr<ReplyWatch> watch_;
  std::size_t at_ = 0;           // the step
  bool is_pausing_ = false;      // due_s_ ends the pause behind it
  std::optional<double> due_s_;  // nothing: not waiting
  double now_s_ = 0;             // of the call under way
};

}  // namespace stillpoint::profile
