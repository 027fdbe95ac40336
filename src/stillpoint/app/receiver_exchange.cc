#include "stillpoint/app/receiver_exchange.h"

#include <chrono>
#include <memory>
#include <utility>

#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::app {
namespace {

using Steady = std::chrono::steady_clock;
// For the last bytes to leave, where no reply shows that they did.
constexpr double kLingerS = 0.3;

std::chrono::nanoseconds span_of(double seconds) {
  return std::chrono::duration_cast<std::chrono::nanoseconds>(
      std::chrono::duration<double>(seconds));
}

class Exchanging final : public net::SourceSink {
 public:
  Exchanging(const CheckReceiverArgs& args,
             const std::function<void(std::size_t, const profile::StepReport&)>&
                 on_step)
      : args_(args),
        on_step_(on_step),
        start_up_(
            args.profile,
            args.values,
            {.send = [this](ByteSpan bytes) { return source_->send(bytes); },
             .on_event = {}}) {}

  Result<Exchange> run() {
    net::SourceOptions options;
    options.reconnect = false;
    options.silence_s = 0;  // a receiver may be silent until it is asked
    auto source = net::open_source(loop_, *args_.port, options);
    if (!source) {
      return fail(std::move(source.error()));
    }
    source_ = std::move(*source);
    loop_.on_interrupt([this] { stop(ExchangeEnd::kInterrupted); });
    source_->start(*this);
    loop_.run();
    source_->stop();
    if (!is_open_ && why_) {
      return fail(std::move(*why_));
    }
    return Exchange{end_, start_up_.reports(), std::move(why_)};
  }

 private:
  void on_bytes(ByteSpan bytes) override {
    start_up_.on_bytes(bytes, now_s());
    look();
  }

  void on_status(const net::SourceStatus& status) override {
    if (status.state == net::SourceState::kOpen) {
      is_open_ = true;
      start_up_.begin(now_s());
      look();
    } else if (status.state == net::SourceState::kEnded && !is_over_) {
      why_ = status.why;
      stop(ExchangeEnd::kLost);
    }
  }

  void stop(ExchangeEnd end) {
    end_ = end;
    is_over_ = true;
    loop_.stop();
  }

  // After everything that may have moved the start-up.
  void look() {
    tell();
    switch (start_up_.state()) {
      case profile::StartUpState::kRunning:
        wait();
        break;
      case profile::StartUpState::kFailed:
        stop(ExchangeEnd::kFailed);
        break;
      case profile::StartUpState::kDone:
        finish();
        break;
      case profile::StartUpState::kIdle:
        break;
    }
  }

  void tell() {
    using profile::StepOutcome;
    const auto& reports = start_up_.reports();
    for (; told_ < reports.size(); ++told_) {
      const StepOutcome outcome = reports[told_].outcome;
      if (outcome == StepOutcome::kNotReached ||
          outcome == StepOutcome::kUnderWay) {
        return;
      }
      on_step_(told_, reports[told_]);
    }
  }

  void wait() {
    const std::optional<double> due_s = start_up_.next_due_s();
    if (due_s == waits_for_s_) {
      return;
    }
    waits_for_s_ = due_s;
    if (due_s) {
      loop_.after(span_of(*due_s - now_s()), [this] {
        waits_for_s_.reset();  // a timer may be a little early
        start_up_.tick(now_s());
        look();
      });
    }
  }

  void finish() {
    const auto& reports = start_up_.reports();
    if (is_over_) {
      return;
    }
    if (reports.empty() ||
        reports.back().outcome != profile::StepOutcome::kSent) {
      stop(ExchangeEnd::kDone);
      return;
    }
    end_ = ExchangeEnd::kDone;
    is_over_ = true;
    loop_.after(span_of(kLingerS), [this] { loop_.stop(); });
  }

  [[nodiscard]] double now_s() const {
    return std::chrono::duration<double>(Steady::now() - started_).count();
  }

  const CheckReceiverArgs& args_;
  const std::function<void(std::size_t, const profile::StepReport&)>& on_step_;
  net::Loop loop_;
  profile::StartUp start_up_;
  std::unique_ptr<net::ByteSource> source_;
  Steady::time_point started_ = Steady::now();
  std::optional<double> waits_for_s_;
  std::size_t told_ = 0;  // steps
  bool is_open_ = false, is_over_ = false;
  ExchangeEnd end_ = ExchangeEnd::kLost;
  std::optional<Error> why_;
};

}  // namespace

Result<Exchange> run_exchange(
    const CheckReceiverArgs& args,
    const std::function<void(std::size_t, const profile::StepReport&)>&
        on_step) {
  Exchanging exchanging(args, on_step);
  return exchanging.run();
}

}  // namespace stillpoint::app
