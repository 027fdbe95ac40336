// A caster of the tests: takes connections on 127.0.0.1, on the test's own
// loop, and answers each as it is told, whatever was asked.
#pragma once

#include <boost/asio/ip/tcp.hpp>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/ntrip/client_source.h"

namespace stillpoint::ntrip {

struct Script {
  // Sent one after the other, each after turns of the loop in which the other
  // side may read.
  std::vector<std::string> pieces;
  bool close = true;  // behind the last piece
  // Close at once when connected, before the request.
  bool mute = false;
};

class TestCaster {
 public:
  // Connections beyond the scripts get the last one.
  TestCaster(net::Loop& loop, std::vector<Script> scripts);
  ~TestCaster();
  TestCaster(const TestCaster&) = delete;
  TestCaster& operator=(const TestCaster&) = delete;

  [[nodiscard]] std::uint16_t port() const;
  // Heads of the requests so far.
  [[nodiscard]] const std::vector<std::string>& requests() const;
  // What clients sent behind their heads.
  [[nodiscard]] const std::string& sent_after() const;
  // Called when it changes.
  void on_sent_after(std::function<void()> action);

 private:
  struct State;
  std::shared_ptr<State> state_;
};

// Notes what a source says and ends the loop when `enough` says so.
class Recorder final : public net::SourceSink {
 public:
  explicit Recorder(net::Loop& loop) : loop_(loop) {}

  void on_bytes(ByteSpan piece) override;
  void on_status(const net::SourceStatus& status) override;

  // "opening open waiting …"
  [[nodiscard]] std::string states() const;
  // The last status with a reason.
  [[nodiscard]] const Error& why() const { return why_; }

  std::string bytes;
  std::vector<net::SourceStatus> statuses;
  std::function<bool()> enough;  // nothing: at the end of the source

 private:
  void look();

  net::Loop& loop_;
  Error why_;
};

// ntrip://ditch-1@127.0.0.1:port/LHOL00XXX with the password in the variable
// PASS of `quick_options`.
net::SourceAddress address_of(const TestCaster& caster, int version = 0);

// No waits between tries; the password is "larch".
net::SourceOptions quick_options();

inline ClientOptions test_client() {
  return {.program_version = "0.1.0", .gga = {}};
}

// Runs until the loop is stopped; false where that takes too long.
bool run(net::Loop& loop);

}  // namespace stillpoint::ntrip
