#include "stillpoint/fetch/scripted_server_test_support.h"

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <openssl/bio.h>
#include <openssl/pem.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <utility>

namespace stillpoint::fetch::test {
namespace {

using SslPtr = std::unique_ptr<SSL, void (*)(SSL*)>;

void use_certificate(SSL_CTX* tls,
                     const std::string& certificate,
                     const std::string& key) {
  BIO* memory =
      BIO_new_mem_buf(certificate.data(), static_cast<int>(certificate.size()));
  X509* one = PEM_read_bio_X509(memory, nullptr, nullptr, nullptr);
  EXPECT_EQ(SSL_CTX_use_certificate(tls, one), 1);
  X509_free(one);
  BIO_free(memory);
  memory = BIO_new_mem_buf(key.data(), static_cast<int>(key.size()));
  EVP_PKEY* secret = PEM_read_bio_PrivateKey(memory, nullptr, nullptr, nullptr);
  EXPECT_EQ(SSL_CTX_use_PrivateKey(tls, secret), 1);
  EVP_PKEY_free(secret);
  BIO_free(memory);
}

}  // namespace

int listen_on_a_free_port() {
  const int listener = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  EXPECT_EQ(::bind(listener,
                   reinterpret_cast<const sockaddr*>(&address),
                   sizeof(address)),
            0);
  EXPECT_EQ(::listen(listener, 8), 0);
  return listener;
}

int port_of(int listener) {
  sockaddr_in address{};
  socklen_t size = sizeof(address);
  EXPECT_EQ(
      ::getsockname(listener, reinterpret_cast<sockaddr*>(&address), &size), 0);
  return ntohs(address.sin_port);
}

void send_all(int connection, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n =
        ::send(connection, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (n <= 0) {
      return;
    }
    bytes.remove_prefix(static_cast<std::size_t>(n));
  }
}

HttpServer::HttpServer(Handler handler)
    : handler_(std::move(handler)), listener_(listen_on_a_free_port()) {
  thread_ = std::thread([this] { serve(); });
}

HttpServer::HttpServer(Handler handler,
                       const std::string& certificate,
                       const std::string& key)
    : handler_(std::move(handler)), listener_(listen_on_a_free_port()) {
  tls_.reset(SSL_CTX_new(TLS_server_method()));
  use_certificate(tls_.get(), certificate, key);
  thread_ = std::thread([this] { serve(); });
}

HttpServer::~HttpServer() {
  stop_ = true;
  thread_.join();
  ::close(listener_);
}

std::string HttpServer::place() const {
  return (tls_ ? "https://127.0.0.1:" : "http://127.0.0.1:") +
         std::to_string(port_of(listener_));
}

std::vector<std::string> HttpServer::heads() const {
  const std::lock_guard lock(mutex_);
  return heads_;
}

bool HttpServer::stopped_or_readable(int descriptor) const {
  pollfd one{descriptor, POLLIN, 0};
  while (!stop_) {
    if (::poll(&one, 1, 20) > 0) {
      return true;
    }
  }
  return false;
}

void HttpServer::serve() {
  while (stopped_or_readable(listener_) && !stop_) {
    const int connection = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC);
    if (connection >= 0) {
      answer(connection);
      ::close(connection);
    }
  }
}

void HttpServer::answer(int connection) {
  // A client that says nothing must not hold the test.
  const timeval limit{20, 0};
  ::setsockopt(connection, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof(limit));
  SslPtr tls(nullptr, &SSL_free);
  if (tls_) {
    tls.reset(SSL_new(tls_.get()));
    SSL_set_fd(tls.get(), connection);
    if (SSL_accept(tls.get()) != 1) {
      return;
    }
  }
  std::string head;
  std::array<char, 4096> room{};
  while (head.find("\r\n\r\n") == std::string::npos) {
    const int n =
        tls ? SSL_read(tls.get(), room.data(), static_cast<int>(room.size()))
            : static_cast<int>(::recv(connection, room.data(), room.size(), 0));
    if (n <= 0) {
      return;
    }
    head.append(room.data(), static_cast<std::size_t>(n));
  }
  {
    const std::lock_guard lock(mutex_);
    heads_.push_back(head);
  }
  const Reply reply = handler_(head);
  if (tls) {
    SSL_write(
        tls.get(), reply.bytes.data(), static_cast<int>(reply.bytes.size()));
    SSL_shutdown(tls.get());
  } else {
    send_all(connection, reply.bytes);
  }
  if (reply.hold) {
    stopped_or_readable(connection);
  }
}

std::string http(std::string_view body, int status) {
  return "HTTP/1.1 " + std::to_string(status) +
         " Words\r\nConnection: close\r\nContent-Length: " +
         std::to_string(body.size()) + "\r\n\r\n" + std::string(body);
}

std::string redirect_to(const std::string& url) {
  return "HTTP/1.1 302 Found\r\nConnection: close\r\nContent-Length: 0\r\n"
         "Location: " +
         url + "\r\n\r\n";
}

}  // namespace stillpoint::fetch::test
