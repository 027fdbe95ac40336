// A source of receiver bytes at work: opens, delivers, opens again when it is
// lost, and says what it is doing.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/net/source_address.h"

namespace stillpoint::net {

enum class SourceState : std::uint8_t {
  kOpening,
  kOpen,     // bytes may come
  kWaiting,  // lost; tries again in retry_in_s
  kEnded,    // file or standard input at its end, or given up
};

struct SourceStatus {
  SourceState state = SourceState::kOpening;
  std::optional<Error> why;  // kWaiting, and kEnded where it is not the end
  double retry_in_s = 0;
};

// Called from the loop's run().
class SourceSink {
 public:
  virtual ~SourceSink() = default;
  virtual void on_bytes(ByteSpan bytes) = 0;
  virtual void on_status(const SourceStatus& status) = 0;
};

// How fast recorded bytes may go: looks at the bytes that come next and says
// how many of them belong together and when they are due.
class Pacer {
 public:
  virtual ~Pacer() = default;
  struct Step {
    std::size_t bytes = 0;  // to hand out now, at least 1 of those given
    double due_s = 0;       // in stream time since the first epoch
  };
  // `ahead`: the next bytes, 64 KiB or, `all`, what is left of them.
  virtual Step next(ByteSpan ahead, bool all) = 0;
};

// Bytes of a file, however it is packed: fills up to into.size(), 0 at the
// end.
using FileReader = std::function<Result<std::size_t>(std::span<char> into)>;

struct SourceOptions {
  // Waits between tries: the first, the longest; each try doubles until bytes
  // come, and up to half of it is taken off at random. A serial device is
  // looked for every 2 s at the latest, since looking costs nobody anything.
  double first_wait_s = 1, longest_wait_s = 60;
  // False: the first loss ends the source.
  bool reconnect = true;
  // A network connection that says nothing for this long is taken for lost; 0
  // never. (A serial device is there or is not; reopening can reset it.)
  double silence_s = 60;
  double connect_s = 10;  // to open, connect and be answered
  // For jitter, in [0, 1); without it the waits are whole.
  std::function<double()> random;
  // For password_env= of NTRIP sources.
  Environment environment;
  // Files: how they are read (nothing: plainly) and paced (needed for a speed
  // above 0).
  std::function<Result<FileReader>(const std::string& path)> open_file;
  std::shared_ptr<Pacer> pacer;
};

// What ends a source and what it waits out: retry.h.
class ByteSource {
 public:
  virtual ~ByteSource() = default;
  // Begins, once; the sink outlives the source. Errors that no waiting cures
  // (a wrong password, a missing file) end it with kEnded.
  virtual void start(SourceSink& sink) = 0;
  // Closes; the sink is not called again. So does the destructor.
  virtual void stop() = 0;
  // Sends to the receiver or caster (serial, TCP, NTRIP).
  //
  //   errors   kUnsupported for files, kIo when it is not open or takes no
  //            more
  virtual Status send(ByteSpan bytes) = 0;
};

// Serial, TCP, file and standard input; NTRIP is in ntrip/client_source.h.
//
//   errors   kUsage for a kind that lives elsewhere, and for a file with a
//            speed but without a pacer
Result<std::unique_ptr<ByteSource>> open_source(Loop& loop,
                                                const SourceAddress& address,
                                                const SourceOptions& options);

}  // namespace stillpoint::net
