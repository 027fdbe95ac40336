#include "stillpoint/net/http_server.h"

#include <algorithm>
#include <boost/asio/ip/tcp.hpp>
#include <utility>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/net/http_connection.h"
#include "stillpoint/net/http_tls.h"
#include "stillpoint/net/loop_asio.h"
#include "stillpoint/net/net_errors.h"
#include "stillpoint/net/tcp_acceptor.h"

namespace stillpoint::net {
namespace {

using boost::asio::ip::tcp;
using boost::system::error_code;

}  // namespace

struct HttpServer::State : std::enable_shared_from_this<State> {
  State(Loop& loop, const HttpServerOptions& options, HttpHandler handler)
      : acceptor(std::make_shared<TcpAcceptor>(loop)),
        service(std::make_shared<HttpService>()) {
    service->options = options;
    service->options.tls.reset();  // it lives in `tls`
    service->rules = {options.methods, options.body_limit, options.most_body};
    service->handler = std::move(handler);
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
    service->ended = true;
    acceptor->close();
    for (const auto& connection : connections) {
      connection->cut();
    }
    connections.clear();
  }

  std::shared_ptr<TcpAcceptor> acceptor;
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
  if (options.tls) {
    auto tls = make_http_tls(*options.tls);
    if (!tls) {
      return fail(std::move(tls.error()));
    }
    state->service->tls = *std::move(tls);
  }
  // It is closed before the state goes.
  const auto started = state->acceptor->start(
      {numeric, port},
      place,
      {"choose another port, or end that program",
       "choose an address that this computer has"},
      [raw = state.get()](tcp::socket socket) { raw->add(std::move(socket)); });
  if (!started) {
    return fail(started.error());
  }
  return std::unique_ptr<HttpServer>(new HttpServer(std::move(state)));
}

HttpServer::HttpServer(std::shared_ptr<State> state)
    : state_(std::move(state)) {}

// What throws here is memory that ran out, which ends the program anyway.
// NOLINTNEXTLINE(bugprone-exception-escape)
HttpServer::~HttpServer() {
  state_->close();
}

std::uint16_t HttpServer::port() const {
  return state_->acceptor->port();
}

Status HttpServer::set_certificate(const HttpCertificate& own) {
  STILLPOINT_CHECK(state_->service->tls);
  auto tls = make_http_tls(own);
  if (!tls) {
    return fail(std::move(tls.error()));
  }
  state_->service->tls = *std::move(tls);
  return ok();
}

std::size_t HttpServer::streams() const {
  return state_->service->streams;
}

std::size_t HttpServer::connections() const {
  const auto& all = state_->connections;
  return static_cast<std::size_t>(std::count_if(
      all.begin(), all.end(), [](const auto& c) { return c->is_open(); }));
}

}  // namespace stillpoint::net
