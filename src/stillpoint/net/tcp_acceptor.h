// Listens on a TCP port and hands out each connection that comes; what the
// outlet for a receiver's bytes and the HTTP server have in common.
#pragma once

#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/net/loop.h"

namespace stillpoint::net {

// Made with std::make_shared: handlers hold it while they wait.
class TcpAcceptor : public std::enable_shared_from_this<TcpAcceptor> {
 public:
  using Tcp = boost::asio::ip::tcp;
  using OnSocket = std::function<void(Tcp::socket)>;

  explicit TcpAcceptor(Loop& loop);

  // For a port that is taken, and for all else but a lack of rights.
  struct Remedies {
    const char *taken, *other;
  };

  // Opens and begins; `on_socket` is called from the loop's run() until
  // close(). "::" takes IPv4 as well.
  //
  //   errors   kIo with the place and its remedy
  Status start(const Tcp::endpoint& here,
               const std::string& place,
               const Remedies& remedies,
               OnSocket on_socket);
  void close();
  [[nodiscard]] std::uint16_t port() const;

 private:
  boost::system::error_code open(const Tcp::endpoint& here);
  void accept();
  void accept_later();

  Tcp::acceptor acceptor_;
  boost::asio::steady_timer pause_;
  OnSocket on_socket_;
};

}  // namespace stillpoint::net
