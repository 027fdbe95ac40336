#include "stillpoint/net/http_socket.h"

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

#include <algorithm>
#include <boost/asio/buffer.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <utility>

namespace stillpoint::net {

HttpSocket::HttpSocket(Tcp::socket socket, const HttpTls& tls)
    : socket_(std::move(socket)) {
  Code ignored;  // slower without it, nothing else
  socket_.set_option(Tcp::no_delay(true), ignored);
  if (tls) {
    tls_.emplace(socket_, *tls);
  }
}

std::string HttpSocket::peer() const {
  Code code;
  auto address = socket_.remote_endpoint(code).address();
  if (code) {
    return {};
  }
  if (address.is_v6() && address.to_v6().is_v4_mapped()) {
    address = boost::asio::ip::make_address_v4(boost::asio::ip::v4_mapped,
                                               address.to_v6());
  }
  return address.to_string();
}

void HttpSocket::shake_hands(Done done) {
  tls_->async_handshake(
      boost::asio::ssl::stream_base::server,
      [done = std::move(done)](const Code& code) { done(code, 0); });
}

void HttpSocket::read(Buffer& into, Done done) {
  if (tls_) {
    tls_->async_read_some(boost::asio::buffer(into), std::move(done));
  } else {
    socket_.async_read_some(boost::asio::buffer(into), std::move(done));
  }
}

void HttpSocket::read_raw(Buffer& into, Done done) {
  socket_.async_read_some(boost::asio::buffer(into), std::move(done));
}

void HttpSocket::write(std::string_view bytes, Done done) {
  const auto buffer = boost::asio::buffer(bytes.data(), bytes.size());
  if (tls_) {
    boost::asio::async_write(*tls_, buffer, std::move(done));
  } else {
    boost::asio::async_write(socket_, buffer, std::move(done));
  }
}

void HttpSocket::say_the_end(Done done) {
  const auto end = [this, done = std::move(done)](const Code&) {
    Code ignored;  // it has hung up itself
    socket_.shutdown(Tcp::socket::shutdown_send, ignored);
    done({}, 0);
  };
  if (tls_) {
    // Its own alert goes out first; then it waits for the client's.
    tls_->async_shutdown(end);
  } else {
    end({});
  }
}

void HttpSocket::give_up_after(std::chrono::milliseconds time) {
  constexpr std::chrono::milliseconds kLongest = std::chrono::hours{24};
  const auto value = static_cast<unsigned>(std::min(time, kLongest).count());
  // Later without it, nothing else.
  ::setsockopt(socket_.native_handle(),
               IPPROTO_TCP,
               TCP_USER_TIMEOUT,
               &value,
               sizeof(value));
}

void HttpSocket::close() {
  Code ignored;  // it is gone either way
  socket_.close(ignored);
}

}  // namespace stillpoint::net
