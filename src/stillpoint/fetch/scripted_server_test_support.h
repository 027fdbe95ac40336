// A server on 127.0.0.1 that says what a test tells it to, over HTTP (with or
// without TLS) or FTP.
#pragma once

#include <openssl/ssl.h>

#include <atomic>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

namespace stillpoint::fetch::test {

struct Reply {
  std::string bytes;
  bool hold = false;  // says no more, and does not hang up
};

// One request for each connection; the answer is sent as it is.
class HttpServer {
 public:
  // The whole head of the request, to the empty line.
  using Handler = std::function<Reply(const std::string& head)>;

  explicit HttpServer(Handler handler);
  // Over TLS; certificate and key as PEM.
  HttpServer(Handler handler,
             const std::string& certificate,
             const std::string& key);
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  // "http://127.0.0.1:PORT", or https://.
  [[nodiscard]] std::string place() const;
  [[nodiscard]] std::vector<std::string> heads() const;

 private:
  void serve();
  void answer(int connection);
  // Waits; false when the server is to end.
  bool stopped_or_readable(int descriptor) const;

  Handler handler_;
  std::unique_ptr<SSL_CTX, void (*)(SSL_CTX*)> tls_{nullptr, &SSL_CTX_free};
  int listener_ = -1;
  std::atomic<bool> stop_ = false;
  mutable std::mutex mutex_;
  std::vector<std::string> heads_;
  std::thread thread_;
};

// 200 with a length, or another status.
std::string http(std::string_view body, int status = 200);
std::string redirect_to(const std::string& url);

// Socket helpers of both servers: a listener on a free port, its port, and all
// bytes out.
int listen_on_a_free_port();
int port_of(int listener);
void send_all(int connection, std::string_view bytes);

}  // namespace stillpoint::fetch::test
