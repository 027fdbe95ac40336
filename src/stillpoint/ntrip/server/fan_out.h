// The caster's engine: takes connections, asks the Ledger, and sends each
// chunk of a mountpoint's stream to all rovers there. A chunk is encoded once
// and sent from the one buffer; a rover is an offset in the shared stream.
// Nothing is left out inside a stream: a rover that cannot follow is cut.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/ntrip/server/fan_options.h"
#include "stillpoint/ntrip/server/frame_source.h"
#include "stillpoint/ntrip/server/ledger.h"

namespace stillpoint::ntrip {

struct ListenAt {
  std::string address = "127.0.0.1";  // numeric; "::" takes IPv4 as well
  std::uint16_t port = 0;             // 0: a free one
  bool tls = false;                   // set_certificate() first
};

// Starts no thread: the caller runs one a worker.
//
//   threads  all but the destructor from any, at any time
class FanOut final : public FrameSink {
 public:
  // The ledger outlives it.
  //
  //   errors   kUsage without a worker or a clock, kIo when the system has no
  //            descriptors left
  static Result<std::unique_ptr<FanOut>> make(FanOutOptions options,
                                              unsigned workers,
                                              ServerClock clock,
                                              Ledger& ledger);
  ~FanOut() override;  // after every run_worker() has returned
  FanOut(const FanOut&) = delete;
  FanOut& operator=(const FanOut&) = delete;

  // Works until stop(); once for each index below `workers`.
  void run_worker(unsigned index);
  // Every session ends (Departure::kShutdown), then run_worker() returns. For
  // good.
  void stop();
  // Workers look at the clock at once instead of within 250 ms.
  void wake();

  // For those that are there as well: within one turn of each worker.
  void set_limits(const FanOutLimits& limits);

  void add_mount(const std::string& mount);
  // The body of the source table, with ENDSOURCETABLE.
  void set_table(std::string text);
  // For connections from now on; those that are there stay as they are.
  //
  //   chain, key   PEM text
  //   errors       kConfig; the certificate before stays in use
  Status set_certificate(const std::string& chain, const std::string& key);

  // Listens until the end.
  //
  //   returns  the port
  //   errors   kConfig: not a numeric address; kIo: taken, or not allowed
  Result<std::uint16_t> listen(const ListenAt& at);
  // A connected stream socket from elsewhere, which it owns from here on.
  void adopt(int fd, bool tls);

  void on_chunk(std::string_view mount, ByteSpan chunk) override;

  // At most one turn of each worker old.
  [[nodiscard]] FanOutCounts counts() const;

 private:
  struct State;
  explicit FanOut(std::unique_ptr<State> state);

  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::ntrip
