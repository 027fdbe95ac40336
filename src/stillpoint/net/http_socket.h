// The bytes of one client of the HTTP server, plain or encrypted.
#pragma once

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl/stream.hpp>
#include <chrono>
#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/net/http_tls.h"

namespace stillpoint::net {

// At most one read and one write at a time. What is read into or written from
// stays where it is until `done` is called, from the loop.
class HttpSocket {
 public:
  using Tcp = boost::asio::ip::tcp;
  using Code = boost::system::error_code;
  using Done = std::function<void(const Code&, std::size_t)>;
  using Buffer = std::array<char, 4096>;

  // `tls` null: plain. The session keeps what it needs of it, so that a new
  // certificate leaves it as it is.
  HttpSocket(Tcp::socket socket, const HttpTls& tls);
  HttpSocket(const HttpSocket&) = delete;
  HttpSocket& operator=(const HttpSocket&) = delete;

  [[nodiscard]] bool is_tls() const { return tls_.has_value(); }
  [[nodiscard]] bool is_open() const { return socket_.is_open(); }
  Tcp::socket::executor_type executor() { return socket_.get_executor(); }
  // Numeric, IPv4 as such also where it came to an IPv6 socket; empty when the
  // client has gone.
  [[nodiscard]] std::string peer() const;

  // Only with TLS.
  void shake_hands(Done done);
  void read(Buffer& into, Done done);
  // As it comes, encrypted or not: for bytes that nobody looks at.
  void read_raw(Buffer& into, Done done);
  // All of it.
  void write(std::string_view bytes, Done done);
  // Tells the client that nothing more comes; the client may still send.
  void say_the_end(Done done);

  // Gives up where what was sent has not been acknowledged for so long: how a
  // client that has vanished is noticed.
  void give_up_after(std::chrono::milliseconds time);
  void close();

 private:
  Tcp::socket socket_;
  std::optional<boost::asio::ssl::stream<Tcp::socket&>> tls_;
};

}  // namespace stillpoint::net
