// A client of the HTTP server for tests, and a server to talk to.
#pragma once

#include <gtest/gtest.h>

#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/write.hpp>
#include <memory>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/net/http_file.h"
#include "stillpoint/net/http_server.h"
#include "stillpoint/net/http_stream.h"
#include "stillpoint/net/loop_asio.h"
#include "stillpoint/net/net_test_support.h"

namespace stillpoint::net::test {

inline constexpr std::string_view kGet = "GET /a HTTP/1.1\r\nHost: a\r\n\r\n";

// Says what it is told to and remembers what it hears.
class Client {
 public:
  Client(Loop& loop, const HttpServer& server, bool reads = true)
      : state_(std::make_shared<State>(loop)) {
    state_->socket.connect(
        {boost::asio::ip::address_v4::loopback(), server.port()});
    if (reads) {
      state_->read();
    }
  }
  ~Client() {
    boost::system::error_code ignored;
    state_->socket.close(ignored);
  }
  Client(const Client&) = delete;
  Client& operator=(const Client&) = delete;

  void say(std::string_view text) const {
    boost::system::error_code ignored;  // the server may have hung up
    boost::asio::write(
        state_->socket, boost::asio::buffer(text.data(), text.size()), ignored);
  }
  void read() const { state_->read(); }
  [[nodiscard]] const std::string& heard() const { return state_->heard; }
  // The server has ended it, with or without manners.
  [[nodiscard]] bool ended() const {
    return state_->code != boost::system::error_code{};
  }
  [[nodiscard]] bool ended_well() const {
    return state_->code == boost::asio::error::eof;
  }
  [[nodiscard]] std::size_t answers() const {
    std::size_t count = 0;
    for (std::size_t at = heard().find("HTTP/1.1 "); at != std::string::npos;
         at = heard().find("HTTP/1.1 ", at + 1)) {
      ++count;
    }
    return count;
  }

 private:
  struct State : std::enable_shared_from_this<State> {
    explicit State(Loop& loop) : socket(loop.impl().context) {}
    void read() {
      socket.async_read_some(
          boost::asio::buffer(incoming),
          [self = shared_from_this()](const boost::system::error_code& failed,
                                      std::size_t count) {
            self->heard.append(self->incoming.data(), count);
            self->code = failed;
            if (!failed) {
              self->read();
            }
          });
    }
    boost::asio::ip::tcp::socket socket;
    std::array<char, 4096> incoming{};
    std::string heard;
    boost::system::error_code code;
  };
  std::shared_ptr<State> state_;
};

inline HttpResponse echo(const HttpRequest& request) {
  HttpResponse page;
  page.body = request.method + " " + request.target + "\n";
  return page;
}

inline std::unique_ptr<HttpServer> serve(Loop& loop,
                                         const HttpServerOptions& options = {},
                                         HttpHandler handler = echo) {
  auto server =
      HttpServer::listen(loop, "127.0.0.1", 0, options, std::move(handler));
  EXPECT_TRUE(server) << server.error().text();
  return std::move(*server);
}

}  // namespace stillpoint::net::test
