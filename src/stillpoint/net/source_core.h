// What all sources share: the order of states, the waits between tries and
// the end. A source derives from SourceCore and says how it opens; also for
// the module ntrip.
#pragma once

#include <boost/asio/steady_timer.hpp>
#include <memory>

#include "stillpoint/net/backoff.h"
#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/loop_asio.h"

namespace stillpoint::net {

// Owned by shared pointer: handlers hold it while they wait. After stop() or
// the end nothing reaches the sink.
class SourceCore : public std::enable_shared_from_this<SourceCore> {
 public:
  SourceCore(Loop& loop, const SourceOptions& options);
  virtual ~SourceCore() = default;
  SourceCore(const SourceCore&) = delete;
  SourceCore& operator=(const SourceCore&) = delete;

  void start(SourceSink& sink);
  void stop();
  virtual Status send(ByteSpan bytes) = 0;

 protected:
  // Begins a try, which ends in opened() or lost(), now or later.
  virtual void open() = 0;
  // Frees what open() took, finished or not; harmless when nothing is open.
  virtual void shut() = 0;

  [[nodiscard]] bool running() const { return sink_ != nullptr; }
  [[nodiscard]] const SourceOptions& options() const { return options_; }
  [[nodiscard]] Loop& loop() { return loop_; }

  // Each may end in the sink's stopping this source: look at running() after.
  void opened();
  void deliver(ByteSpan bytes);
  // Shuts; then tries again later, or it is the end (retry.h).
  void lost(Error why);
  // Shuts for good: at its end, or for a reason that no waiting cures.
  void end(std::optional<Error> why);

 private:
  void try_open();

  Loop& loop_;
  SourceOptions options_;
  SourceSink* sink_ = nullptr;
  Backoff backoff_;
  boost::asio::steady_timer again_;
  bool worked_ = false;
};

// The owner's end of a core.
std::unique_ptr<ByteSource> source_of(std::shared_ptr<SourceCore> core);

}  // namespace stillpoint::net
