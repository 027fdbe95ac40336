// One TCP connection, plain or TLS, on a Loop. Handlers are called from run();
// after on_closed nothing comes any more.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::net {

struct Endpoint {
  std::string host;  // name or address, IPv6 without brackets
  std::uint16_t port = 0;
  bool tls = false;       // 1.2 or newer, name and chain verified
  std::string ca_file;    // to trust besides the system's certificates
  double connect_s = 10;  // names, TCP and TLS together; 0 no limit
  double silence_s = 0;   // closed after so long without a byte; 0 never
};

class ConnectionHandler {
 public:
  virtual ~ConnectionHandler() = default;
  virtual void on_connected() = 0;
  virtual void on_bytes(ByteSpan bytes) = 0;
  // Once, when the other side closed (kIo "closed by …"), nothing came, or it
  // could not be reached; never after close().
  //
  //   errors   kIo what time may cure; kConfig what it does not (certificate
  //            not trusted or for another name, ca_file not readable);
  //            kTooLarge when kMostQueued bytes wait to be sent
  virtual void on_closed(const Error& why) = 0;
};

class Connection {
 public:
  static constexpr std::size_t kMostQueued = std::size_t{1} << 20;

  // Starts to connect; the handler outlives the connection.
  Connection(Loop& loop, Endpoint endpoint, ConnectionHandler& handler);
  ~Connection();  // closes without a call
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;

  // Queues bytes; sent in order. Before on_connected they wait.
  void send(std::string bytes);
  // At once: what is still queued is not sent.
  void close();

 private:
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::net
