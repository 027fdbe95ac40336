#include "stillpoint/net/source_core.h"

#include <boost/asio/post.hpp>
#include <utility>

#include "stillpoint/net/retry.h"

namespace stillpoint::net {

SourceCore::SourceCore(Loop& loop, const SourceOptions& options)
    : loop_(loop),
      options_(options),
      backoff_(options.first_wait_s, options.longest_wait_s),
      again_(loop.impl().context) {}

void SourceCore::start(SourceSink& sink) {
  sink_ = &sink;
  boost::asio::post(again_.get_executor(),
                    [self = shared_from_this()] { self->try_open(); });
}

void SourceCore::stop() {
  if (std::exchange(sink_, nullptr) != nullptr) {
    again_.cancel();
    shut();
  }
}

void SourceCore::try_open() {
  if (running()) {
    sink_->on_status({SourceState::kOpening, std::nullopt, 0});
  }
  if (running()) {
    open();
  }
}

void SourceCore::opened() {
  worked_ = true;
  sink_->on_status({SourceState::kOpen, std::nullopt, 0});
}

void SourceCore::deliver(ByteSpan bytes) {
  // Not in opened(): a caster that takes connections and drops them is not to
  // be asked every second.
  backoff_.reset();
  sink_->on_bytes(bytes);
}

void SourceCore::lost(Error why) {
  if (!options_.reconnect || !is_worth_retrying(why, worked_)) {
    end(std::move(why));
    return;
  }
  shut();
  const double wait_s =
      backoff_.next(options_.random ? options_.random() : 0.0);
  again_.expires_after(timer_span(wait_s));
  again_.async_wait(
      [self = shared_from_this()](const boost::system::error_code& code) {
        if (!code) {
          self->try_open();
        }
      });
  sink_->on_status({SourceState::kWaiting, std::move(why), wait_s});
}

void SourceCore::end(std::optional<Error> why) {
  SourceSink* told = sink_;
  stop();
  told->on_status({SourceState::kEnded, std::move(why), 0});
}

namespace {

class CoreSource final : public ByteSource {
 public:
  explicit CoreSource(std::shared_ptr<SourceCore> core)
      : core_(std::move(core)) {}
  CoreSource(const CoreSource&) = delete;
  CoreSource& operator=(const CoreSource&) = delete;
  ~CoreSource() override { core_->stop(); }

  void start(SourceSink& sink) override { core_->start(sink); }
  void stop() override { core_->stop(); }
  Status send(ByteSpan bytes) override { return core_->send(bytes); }

 private:
  std::shared_ptr<SourceCore> core_;
};

}  // namespace

std::unique_ptr<ByteSource> source_of(std::shared_ptr<SourceCore> core) {
  return std::make_unique<CoreSource>(std::move(core));
}

}  // namespace stillpoint::net
