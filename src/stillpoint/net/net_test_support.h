// What the tests of this module share: a loop that runs until something has
// happened, a sink that remembers, a folder that goes away, a pseudo-terminal
// and a server.
#pragma once

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/connection.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::net::test {

// Runs the loop until `done` says so; false after half a minute, which only a
// broken program needs.
bool run_until(Loop& loop, const std::function<bool()>& done);

// Runs what is ready, and waits for nothing.
void run_ready(Loop& loop);

ByteSpan bytes_of(std::string_view text);

class Recorder final : public SourceSink {
 public:
  void on_bytes(ByteSpan more) override {
    bytes.append(more.begin(), more.end());
    pieces.push_back(more.size());
    if (then) {
      then();
    }
  }
  void on_status(const SourceStatus& status) override {
    states.push_back(status);
  }
  [[nodiscard]] bool is(SourceState state) const {
    return !states.empty() && states.back().state == state;
  }
  [[nodiscard]] std::size_t times(SourceState state) const;
  // The last reason given.
  [[nodiscard]] Error why() const;

  std::string bytes;
  std::vector<std::size_t> pieces;
  std::vector<SourceStatus> states;
  std::function<void()> then;  // after each piece
};

class RecordingHandler final : public ConnectionHandler {
 public:
  void on_connected() override { connected = true; }
  void on_bytes(ByteSpan more) override {
    bytes.append(more.begin(), more.end());
  }
  void on_closed(const Error& why) override { closed.push_back(why); }

  bool connected = false;
  std::string bytes;
  std::vector<Error> closed;
};

class TempDir {
 public:
  TempDir();
  ~TempDir();
  TempDir(const TempDir&) = delete;
  TempDir& operator=(const TempDir&) = delete;
  [[nodiscard]] std::string path(const std::string& name) const {
    return path_ + "/" + name;
  }
  // Writes a file and says its path.
  [[nodiscard]] std::string file(const std::string& name,
                                 std::string_view content) const;

 private:
  std::string path_;
};

// The master end of a pseudo-terminal; its slave's path goes when it does.
class Pty {
 public:
  Pty();
  ~Pty() { unplug(); }
  Pty(const Pty&) = delete;
  Pty& operator=(const Pty&) = delete;

  void unplug();
  void write(std::string_view text) const;
  // What is there now.
  [[nodiscard]] std::string read() const;
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  int master_ = -1;
  std::string path_;
};

// A server on 127.0.0.1 that remembers what the last client said.
class Server {
 public:
  // port 0: a free one
  explicit Server(Loop& loop, std::uint16_t port = 0);
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  [[nodiscard]] std::uint16_t port() const;
  void send(std::string_view text);
  void hang_up();

 private:
  struct State;
  std::shared_ptr<State> state_;

 public:
  [[nodiscard]] std::size_t clients() const;
  [[nodiscard]] const std::string& heard() const;
};

}  // namespace stillpoint::net::test
