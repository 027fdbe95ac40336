// One request to a caster and its answer: connects, sends, reads the head and
// hands over the body without its chunks.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/net/connection.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/ntrip/chunked.h"
#include "stillpoint/ntrip/response.h"
#include "stillpoint/ntrip/timer.h"

namespace stillpoint::ntrip {

struct Ending {
  // kIo, or what net::Connection says; kConfig for an answer that cannot be
  // read.
  Error why;
  bool silent = false;  // closed after the connection was made, without a byte
};

// Called from the loop's run().
class ExchangeHandler {
 public:
  virtual ~ExchangeHandler() = default;
  virtual void on_head(const ResponseHead& head) = 0;
  virtual void on_body(ByteSpan bytes) = 0;
  // Once, at the end of the body or of the connection; never after close().
  virtual void on_end(const Ending& ending) = 0;
};

// Made with std::make_shared; its owner may close and drop it from a handler's
// call. `endpoint.connect_s` is for connecting and the first line of the answer
// together, and once more for the whole of a source table.
class Exchange final : public std::enable_shared_from_this<Exchange>,
                       private net::ConnectionHandler {
 public:
  Exchange(net::Loop& loop,
           const net::Endpoint& endpoint,
           std::string request,
           ExchangeHandler& handler);

  // More for the caster: positions.
  void send(std::string bytes) { connection_.send(std::move(bytes)); }
  void close();

 private:
  void on_connected() override;
  void on_bytes(ByteSpan bytes) override;
  void on_closed(const Error& why) override;

  void limit(Timer::Clock::time_point due, const char* what);
  void begin_body();
  void take_body(ByteSpan bytes);
  void take_chunks(ByteSpan bytes);
  void finish(const Error& why);

  ExchangeHandler* handler_;  // null when closed
  double limit_s_;
  Timer::Clock::time_point answer_due_;
  Timer timer_;
  ResponseReader reader_;
  ChunkedDecoder chunks_;
  bool connected_ = false, heard_ = false, in_body_ = false;
  std::optional<std::uint64_t> left_;  // of a body with a length
  net::Connection connection_;         // last: it calls back
};

}  // namespace stillpoint::ntrip
