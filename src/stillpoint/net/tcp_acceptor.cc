#include "stillpoint/net/tcp_acceptor.h"

#include <boost/asio/error.hpp>
#include <boost/asio/ip/v6_only.hpp>
#include <utility>

#include "stillpoint/net/loop_asio.h"

namespace stillpoint::net {
namespace {

using boost::system::error_code;

constexpr double kPauseSeconds =
    1;  // after a failed accept, e.g. no descriptors

}  // namespace

TcpAcceptor::TcpAcceptor(Loop& loop)
    : acceptor_(loop.impl().context), pause_(loop.impl().context) {}

error_code TcpAcceptor::open(const Tcp::endpoint& here) {
  error_code code;
  acceptor_.open(here.protocol(), code);
  if (!code) {
    acceptor_.set_option(Tcp::acceptor::reuse_address(true), code);
  }
  if (!code && here.protocol() == Tcp::v6()) {
    acceptor_.set_option(boost::asio::ip::v6_only(false), code);
  }
  if (!code) {
    acceptor_.bind(here, code);
  }
  if (!code) {
    acceptor_.listen(boost::asio::socket_base::max_listen_connections, code);
  }
  return code;
}

Status TcpAcceptor::start(const Tcp::endpoint& here,
                          const std::string& place,
                          const Remedies& remedies,
                          OnSocket on_socket) {
  const error_code code = open(here);
  if (code == boost::asio::error::address_in_use) {
    return fail(ErrorCode::kIo,
                "the port is taken by another program",
                place,
                remedies.taken);
  }
  if (code == boost::asio::error::access_denied) {
    return fail(ErrorCode::kIo,
                "this user may not listen there",
                place,
                "choose a port of 1024 or above");
  }
  if (code) {
    return fail(ErrorCode::kIo,
                "it cannot be listened on: " + code.message(),
                place,
                remedies.other);
  }
  on_socket_ = std::move(on_socket);
  accept();
  return ok();
}

void TcpAcceptor::accept() {
  acceptor_.async_accept(
      [self = shared_from_this()](const error_code& code, Tcp::socket socket) {
        if (!self->acceptor_.is_open()) {
          return;
        }
        if (code) {
          self->accept_later();
          return;
        }
        self->on_socket_(std::move(socket));
        self->accept();
      });
}

void TcpAcceptor::accept_later() {
  pause_.expires_after(timer_span(kPauseSeconds));
  pause_.async_wait([self = shared_from_this()](const error_code& code) {
    if (!code && self->acceptor_.is_open()) {
      self->accept();
    }
  });
}

void TcpAcceptor::close() {
  pause_.cancel();
  error_code ignored;  // it is gone either way
  acceptor_.close(ignored);
}

std::uint16_t TcpAcceptor::port() const {
  error_code ignored;  // it listens, so that it has a port
  return acceptor_.local_endpoint(ignored).port();
}

}  // namespace stillpoint::net
