// One client of the HTTP server, from its first byte to its last.
#pragma once

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <utility>

#include "stillpoint/net/http_head.h"
#include "stillpoint/net/http_server.h"

namespace stillpoint::net {

// What the connections of a server share.
struct HttpService {
  HttpServerOptions options;
  HttpHandler handler;
  std::uint64_t turns = 0;  // counts changes of phase, to tell old from new
};

class HttpConnection : public std::enable_shared_from_this<HttpConnection> {
 public:
  // In the order in which they have to go where room is needed.
  enum class Phase : std::uint8_t { kEnding, kIdle, kHead, kAnswering };

  HttpConnection(boost::asio::ip::tcp::socket socket,
                 std::shared_ptr<HttpService> service);

  void start();
  // Ends it at once.
  void cut();
  [[nodiscard]] bool is_open() const { return socket_.is_open(); }
  // The smaller, the less would be lost with it.
  [[nodiscard]] std::pair<Phase, std::uint64_t> worth() const {
    return {phase_, since_};
  }

 private:
  void enter(Phase phase, std::chrono::nanoseconds deadline);
  void await_request();
  void read();
  void take_bytes();
  void answer();
  void write(std::string text, bool keep_alive);
  void drain();

  boost::asio::ip::tcp::socket socket_;
  boost::asio::steady_timer timer_;
  std::shared_ptr<HttpService> service_;
  Phase phase_ = Phase::kIdle;
  std::uint64_t since_ = 0;  // HttpService::turns at the last change
  HttpHeadReader reader_;
  std::array<char, 4096> incoming_{};
  std::size_t begin_ = 0, end_ = 0;  // what is not read yet of incoming_
  std::size_t drained_ = 0;
  std::string outgoing_;
};

}  // namespace stillpoint::net
