#include "stillpoint/net/http_server.h"

#include <algorithm>
#include <boost/asio/error.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ip/v6_only.hpp>
#include <boost/asio/steady_timer.hpp>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/net/http_connection.h"
#include "stillpoint/net/loop_asio.h"
#include "stillpoint/net/net_errors.h"

namespace stillpoint::net {
namespace {

using boost::asio::ip::tcp;
using boost::system::error_code;

constexpr double kPauseSeconds =
    1;  // after a failed accept, e.g. no descriptors

Error listen_error(const error_code& code, std::string place) {
  if (code == boost::asio::error::address_in_use) {
    return {ErrorCode::kIo,
            "the port is taken by another program",
            std::move(place),
            "choose another port, or end that program"};
  }
  if (code == boost::asio::error::access_denied) {
    return {ErrorCode::kIo,
            "this user may not listen there",
            std::move(place),
            "choose a port of 1024 or above"};
  }
  return {ErrorCode::kIo,
          "it cannot be listened on: " + code.message(),
          std::move(place),
          "choose an address that this computer has"};
}

}  // namespace

struct HttpServer::State : std::enable_shared_from_this<State> {
  State(Loop& loop, const HttpServerOptions& options, HttpHandler handler)
      : acceptor(loop.impl().context),
        pause(loop.impl().context),
        service(std::make_shared<HttpService>(
            HttpService{options, std::move(handler)})) {}

  error_code open(const tcp::endpoint& here) {
    error_code code;
    acceptor.open(here.protocol(), code);
    if (!code) {
      acceptor.set_option(tcp::acceptor::reuse_address(true), code);
    }
    if (!code && here.protocol() == tcp::v6()) {
      acceptor.set_option(boost::asio::ip::v6_only(false), code);
    }
    if (!code) {
      acceptor.bind(here, code);
    }
    if (!code) {
      acceptor.listen(boost::asio::socket_base::max_listen_connections, code);
    }
    return code;
  }

  void accept() {
    acceptor.async_accept([self = shared_from_this()](const error_code& code,
                                                      tcp::socket socket) {
      if (!self->acceptor.is_open()) {
        return;
      }
      if (code) {
        self->accept_later();
        return;
      }
      self->add(std::move(socket));
      self->accept();
    });
  }

  void accept_later() {
    pause.expires_after(timer_span(kPauseSeconds));
    pause.async_wait([self = shared_from_this()](const error_code& code) {
      if (!code && self->acceptor.is_open()) {
        self->accept();
      }
    });
  }

  void add(tcp::socket socket) {
    sweep();
    if (connections.size() >= service->options.most_connections) {
      const auto least = std::min_element(
          connections.begin(), connections.end(), [](auto& a, auto& b) {
            return a->worth() < b->worth();
          });
      (*least)->cut();
      connections.erase(least);
    }
    connections.push_back(
        std::make_shared<HttpConnection>(std::move(socket), service));
    connections.back()->start();
  }

  void sweep() {
    std::erase_if(connections, [](const auto& c) { return !c->is_open(); });
  }

  void close() {
    pause.cancel();
    error_code ignored;  // it is gone either way
    acceptor.close(ignored);
    for (const auto& connection : connections) {
      connection->cut();
    }
    connections.clear();
  }

  tcp::acceptor acceptor;
  boost::asio::steady_timer pause;
  std::shared_ptr<HttpService> service;
  std::vector<std::shared_ptr<HttpConnection>> connections;
};

Result<std::unique_ptr<HttpServer>> HttpServer::listen(
    Loop& loop,
    const std::string& address,
    std::uint16_t port,
    const HttpServerOptions& options,
    HttpHandler handler) {
  STILLPOINT_CHECK(options.most_connections > 0);
  const std::string place = place_name(address, port);
  error_code code;
  const auto numeric = boost::asio::ip::make_address(address, code);
  if (code) {
    return fail(
        ErrorCode::kConfig, "not a numeric address to listen at", place);
  }
  auto state = std::make_shared<State>(loop, options, std::move(handler));
  if ((code = state->open({numeric, port}))) {
    return fail(listen_error(code, place));
  }
  state->accept();
  return std::unique_ptr<HttpServer>(new HttpServer(std::move(state)));
}

HttpServer::HttpServer(std::shared_ptr<State> state)
    : state_(std::move(state)) {}

HttpServer::~HttpServer() {
  state_->close();
}

std::uint16_t HttpServer::port() const {
  error_code ignored;  // it listens, so that it has a port
  return state_->acceptor.local_endpoint(ignored).port();
}

std::size_t HttpServer::connections() const {
  const auto& all = state_->connections;
  return static_cast<std::size_t>(std::count_if(
      all.begin(), all.end(), [](const auto& c) { return c->is_open(); }));
}

}  // namespace stillpoint::net
