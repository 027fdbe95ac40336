#include "stillpoint/profile/start_up.h"

#include <algorithm>
#include <array>
#include <utility>

#include "stillpoint/profile/reply_watch.h"

namespace stillpoint::profile {

const char* outcome_word(StepOutcome outcome) {
  constexpr std::array<const char*, 8> kWords = {"not_reached",
                                                 "under_way",
                                                 "sent",
                                                 "answered",
                                                 "refused",
                                                 "no_answer",
                                                 "skipped",
                                                 "not_sent"};
  return kWords[static_cast<std::size_t>(outcome)];
}

StartUp::StartUp(Profile profile, const StationValues& values, Calls calls)
    : profile_(std::move(profile)),
      values_(values),
      calls_(std::move(calls)),
      reports_(profile_.steps.size()) {}

StartUp::~StartUp() = default;

void StartUp::begin(double now_s) {
  watch_ = std::make_unique<ReplyWatch>(
      profile_.framings, [this](bool is_refusal, ByteSpan answer) {
        report().answer.assign(answer.begin(), answer.end());
        tell(is_refusal ? StepEventKind::kRefused : StepEventKind::kAnswered,
             now_s_);
        end_step(is_refusal ? StepOutcome::kRefused : StepOutcome::kAnswered,
                 now_s_);
        go_on(now_s_);
      });
  reports_.assign(profile_.steps.size(), {});
  state_ = StartUpState::kRunning;
  at_ = 0;
  is_pausing_ = false;
  due_s_.reset();
  go_on(now_s);
}

void StartUp::on_bytes(ByteSpan bytes, double now_s) {
  if (state_ == StartUpState::kRunning) {
    now_s_ = now_s;
    watch_->push(bytes);
  }
}

void StartUp::tick(double now_s) {
  if (state_ != StartUpState::kRunning || !due_s_ || now_s < *due_s_) {
    return;
  }
  if (is_pausing_) {
    is_pausing_ = false;
    due_s_.reset();
    ++at_;
  } else {
    now_s_ = now_s;
    const std::size_t before = at_;
    watch_->last_look();
    // The last look may have ended the step, and sent the next.
    if (at_ == before && due_s_ && !is_pausing_) {
      no_reply_in_time(now_s);
    }
  }
  go_on(now_s);
}

bool StartUp::waits_for_values() const {
  return std::any_of(
      reports_.begin(), reports_.end(), [](const StepReport& report) {
        return report.outcome == StepOutcome::kSkipped;
      });
}

// Begins steps until one of them waits.
void StartUp::go_on(double now_s) {
  while (state_ == StartUpState::kRunning && !due_s_) {
    if (at_ == profile_.steps.size()) {
      state_ = StartUpState::kDone;
    } else {
      begin_step(now_s);
    }
  }
}

void StartUp::begin_step(double now_s) {
  report().missing = missing_values(step(), values_);
  if (!report().missing.empty()) {
    tell(StepEventKind::kSkipped, now_s);
    report().outcome = StepOutcome::kSkipped;
    report().ended_s = now_s;
    ++at_;
    return;
  }
  auto bytes = render(step(), values_);
  if (!bytes) {
    report().error = std::move(bytes.error());
    tell(StepEventKind::kNotSent, now_s);
    end_step(StepOutcome::kNotSent, now_s);
    return;
  }
  report().sent = std::move(*bytes);
  report().outcome = StepOutcome::kUnderWay;
  send_try(now_s);
}

void StartUp::send_try(double now_s) {
  report().error.reset();
  if (!step().reply.empty()) {
    if (report().tries == 0) {
      watch_->expect(step().reply, step().refusal);
    }
    due_s_ = now_s + step().reply_within_s;
  }
  ++report().tries;
  if (auto sent = calls_.send(report().sent); !sent) {
    report().error = std::move(sent.error());
    tell(StepEventKind::kNotSent, now_s);
  } else {
    report().first_sent_s = report().first_sent_s.value_or(now_s);
    tell(StepEventKind::kSent, now_s);
  }
  if (step().reply.empty()) {
    end_step(report().error ? StepOutcome::kNotSent : StepOutcome::kSent,
             now_s);
  }
}

void StartUp::no_reply_in_time(double now_s) {
  if (!report().error) {
    tell(StepEventKind::kTimedOut, now_s);
  }
  if (report().tries < step().tries) {
    send_try(now_s);
  } else {
    end_step(report().error ? StepOutcome::kNotSent : StepOutcome::kNoAnswer,
             now_s);
  }
}

void StartUp::end_step(StepOutcome outcome, double now_s) {
  report().outcome = outcome;
  report().ended_s = now_s;
  if (outcome == StepOutcome::kNoAnswer) {
    report().other = watch_->other();
  }
  watch_->expect_nothing();
  due_s_.reset();
  const bool good =
      outcome == StepOutcome::kSent || outcome == StepOutcome::kAnswered;
  if (!good && !step().optional) {
    state_ = StartUpState::kFailed;
  } else if (step().pause_s > 0) {
    is_pausing_ = true;
    due_s_ = now_s + step().pause_s;
  } else {
    ++at_;
  }
}

void StartUp::tell(StepEventKind kind, double now_s) {
  if (calls_.on_event) {
    calls_.on_event({.kind = kind,
                     .step = at_,
                     .try_number = report().tries,
                     .at_s = now_s});
  }
}

}  // namespace stillpoint::profile
