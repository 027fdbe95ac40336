// The receiver's end of a station: its source is opened, watched and opened
// again; what the profile says is sent at each opening; silence and return are
// told.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/api/station_status.h"
#include "stillpoint/core/log.h"
#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/listener.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/profile/profile.h"
#include "stillpoint/profile/start_up.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/raw_path.h"

namespace stillpoint::station {

using OpenSource = std::function<Result<std::unique_ptr<net::ByteSource>>(
    net::Loop&, const net::SourceAddress&)>;

struct ReceiverOptions {
  net::SourceAddress source;
  OpenSource open;
  std::chrono::nanoseconds silence = std::chrono::seconds{10};
  profile::Profile profile;
  std::string pass_through;  // "", "tcp:PORT", "pty"
};

using api::ReceiverState;

struct ReceiverFacts {
  ReceiverState state = ReceiverState::kOpening;
  std::string why;
  GnssTime since;
  std::optional<std::chrono::nanoseconds> last_byte;  // steady
  std::uint64_t openings = 0;
  profile::StartUpState start_up = profile::StartUpState::kIdle;
  std::string pass_through;  // where it is, as a source
};

//   threads  one: that of the loop
class ReceiverLink final : private net::SourceSink {
 public:
  // All outlive it.
  ReceiverLink(net::Loop& loop,
               ReceiverOptions options,
               RawPath& raw,
               Clocks clocks,
               Chronicle& chronicle,
               Logger log);
  ~ReceiverLink() override;

  //   errors   kUsage for a source that cannot be opened at all; kIo where the
  //            pass-through's port is taken
  Status start();
  void stop();
  // At least four times a second.
  void tick();
  void set_silence(std::chrono::nanoseconds silence) {
    options_.silence = silence;
  }
  // The coordinate that a step of the profile may send; a receiver that waits
  // for it, or has been told another, is told at once.
  void set_adopted(const std::optional<Ecef>& arp_m);
  [[nodiscard]] const ReceiverFacts& facts() const { return facts_; }

 private:
  void on_bytes(ByteSpan bytes) override;
  void on_status(const net::SourceStatus& status) override;

  Status open_source();
  Status open_pass_through();
  [[nodiscard]] bool is_open() const;
  void enter(ReceiverState state, std::string why);
  void lost(const net::SourceStatus& status);
  void ended(const net::SourceStatus& status);
  void reopen();
  void silent(std::chrono::nanoseconds now);
  void back(GnssTime now);
  void begin_start_up();
  void on_step(const profile::StepEvent& event);
  void watch_start_up();

  net::Loop& loop_;
  ReceiverOptions options_;
  RawPath& raw_;
  const Clocks clocks_;
  Chronicle& chronicle_;
  const Logger log_;
  ReceiverFacts facts_;
  std::unique_ptr<net::ByteSource> source_;
  std::unique_ptr<net::ByteOutlet> outlet_;
  profile::StartUp start_up_;
  bool start_up_told_ = true;
  std::optional<Ecef> adopted_;
  bool was_told_ = false;  // the receiver, of a coordinate
  // No byte since, and why; told when bytes come again.
  struct Quiet {
    GnssTime from;
    std::string cause;
    bool told_silent = false;
  };
  std::optional<Quiet> quiet_;
  std::optional<GnssTime> last_byte_at_;
  std::chrono::nanoseconds heard_at_{0};  // or opened
  std::chrono::nanoseconds reopen_after_{0};
  std::optional<std::chrono::nanoseconds> reopen_at_;
};

}  // namespace stillpoint::station
