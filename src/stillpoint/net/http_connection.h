// One client of the HTTP server, from its first byte to its last.
// http_connection.cc reads its requests, http_answering.cc answers them.
#pragma once

#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <utility>

#include "stillpoint/net/http_body.h"
#include "stillpoint/net/http_file.h"
#include "stillpoint/net/http_head.h"
#include "stillpoint/net/http_server.h"
#include "stillpoint/net/http_socket.h"
#include "stillpoint/net/http_stream.h"

namespace stillpoint::net {

// What the connections of a server share.
struct HttpService {
  HttpServerOptions options;
  HttpRules rules;
  HttpHandler handler;
  HttpTls tls;              // null: plain; for connections to come
  std::uint64_t turns = 0;  // counts changes of phase, to tell old from new
  std::size_t streams = 0;  // at present
  std::size_t held = 0;     // bytes of bodies that are coming
  bool ended = false;       // the server has gone
};

class HttpConnection : public std::enable_shared_from_this<HttpConnection> {
 public:
  // In the order in which they have to go where room is needed.
  enum class Phase : std::uint8_t {
    kEnding,
    kIdle,
    kHandshake,
    kHead,
    kBody,
    kAnswering,
    kStreaming,
  };

  HttpConnection(HttpSocket::Tcp::socket socket,
                 std::shared_ptr<HttpService> service);

  void start();
  // Ends it at once.
  void cut();
  // Something is to be written to the stream, or it ends.
  void stream_changed();
  [[nodiscard]] bool is_open() const { return socket_.is_open(); }
  // The smaller, the less would be lost with it.
  [[nodiscard]] std::pair<Phase, std::uint64_t> worth() const {
    return {phase_, since_};
  }

 private:
  using Step = void (HttpConnection::*)();

  // One deadline for the phase, and one within it that may be put off.
  void enter(Phase phase, std::chrono::nanoseconds deadline);
  void watch(boost::asio::steady_timer& timer,
             std::uint64_t& turn,
             std::chrono::nanoseconds deadline);
  void unwatch();

  void await_request();
  void read();
  void take_bytes();
  void begin_body();
  void take_body();
  void let_go_of_body();

  void answer();
  void refuse(int status);
  void deliver(HttpResponse response);
  void deliver_stream(const HttpResponse& response);
  void send_piece();
  void pump();
  void detach_stream();
  void finish(const std::shared_ptr<HttpStream::State>& stream);
  void write(std::string text, Step then);
  void after_answer();
  void end();
  void drain();

  HttpSocket socket_;
  boost::asio::steady_timer timer_, inner_timer_;
  std::shared_ptr<HttpService> service_;
  HttpPeer peer_;
  Phase phase_ = Phase::kIdle;
  std::uint64_t since_ = 0;       // HttpService::turns at the last change
  std::uint64_t timer_turn_ = 0;  // the deadline that counts
  std::uint64_t inner_turn_ = 0;
  HttpHeadReader head_;
  HttpBodyReader body_;
  HttpRequest request_;
  HttpSocket::Buffer incoming_{};
  std::size_t begin_ = 0, end_ = 0;  // what is not read yet of incoming_
  std::size_t held_ = 0;             // its part of HttpService::held
  bool keep_alive_ = false;
  std::string outgoing_;
  std::shared_ptr<HttpFile> file_;
  std::uint64_t file_at_ = 0;
  std::shared_ptr<HttpStream::State> stream_;
  bool writing_ = false;  // of the stream
  bool draining_ = false;
  std::size_t drained_ = 0;
};

}  // namespace stillpoint::net
