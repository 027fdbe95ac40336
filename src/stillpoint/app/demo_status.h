// The station's own page /status.json, asked for again and again.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/net/connection.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::app {

// Of docs/schemas/status.schema.json, what the demo looks at.
struct StationView {
  bool store_good = false;
  std::uint64_t received_bytes = 0, recorded_bytes = 0, safe_bytes = 0;
  std::uint64_t dropped_bytes = 0, undecoded_bytes = 0;
  std::uint64_t epochs = 0;
  std::uint64_t satellites = 0;
  std::uint64_t rovers = 0;  // at present
  // Of the streams, all rovers together.
  std::uint64_t offered_bytes = 0, sent_bytes = 0, unsent_bytes = 0;
  // Streams that ended otherwise than by the rover or the station's end, by
  // the reason.
  std::map<std::string, std::uint64_t> cuts;
  std::uint64_t resident_bytes = 0;
  std::optional<double> code_offset_m;
  std::string trust;  // state
};

class StatusPage final : private net::ConnectionHandler {
 public:
  StatusPage(net::Loop& loop, std::uint16_t port) : loop_(loop), port_(port) {}

  // Asks, where no question is under way.
  void ask();
  // The last answer; nothing before the first.
  [[nodiscard]] const std::optional<StationView>& view() const { return view_; }
  // How many have come.
  [[nodiscard]] std::uint64_t answers() const { return answers_; }

 private:
  void on_connected() override {}
  void on_bytes(ByteSpan bytes) override;
  void on_closed(const Error& why) override;

  net::Loop& loop_;
  const std::uint16_t port_;
  std::unique_ptr<net::Connection> connection_;
  bool asking_ = false;
  std::string text_;
  std::optional<StationView> view_;
  std::uint64_t answers_ = 0;
};

}  // namespace stillpoint::app
