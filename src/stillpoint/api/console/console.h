// The console's server side: the page, the interface under /api/v1/, and the
// streams of events. Who may what is decided here and nowhere else.
#pragma once

#include <chrono>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "stillpoint/api/console/backend.h"
#include "stillpoint/net/http_message.h"

namespace stillpoint::api {

// What the open pages should ask for again.
enum class Topic : std::uint8_t {
  kCoordinate,
  kStream,
  kRecord,
  kLogbook,
  kJobs,
};

//   threads  one: that of the server's loop
class Console {
 public:
  // The backend outlives it.
  explicit Console(ConsoleBackend& backend);
  ~Console();
  Console(const Console&) = delete;
  Console& operator=(const Console&) = delete;
  Console(Console&&) = delete;
  Console& operator=(Console&&) = delete;

  net::HttpResponse answer(const net::HttpRequest& request);
  // The longest body that a request with such a head may have.
  static std::size_t most_body(const net::HttpRequest& head);

  // The same for an answer that the server made itself.
  static void shape_refusal(net::HttpResponse& answer);

  // Sends what is due to the open pages; four times a second or more.
  void tick();
  // Told to the open pages with the next tick.
  void changed(Topic topic);
  // Ends the streams of events.
  void close();
  [[nodiscard]] std::size_t streams() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

// The headers that every answer has.
void add_security_fields(net::HttpResponse& answer);

}  // namespace stillpoint::api
