#include "stillpoint/net/http_connection.h"

#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>
#include <string_view>

namespace stillpoint::net {
namespace {

using boost::asio::ip::tcp;
using boost::system::error_code;

// Of a client that has had its last answer.
constexpr std::size_t kMostDrained = std::size_t{256} * 1024;

HttpResponse refusal(int status) {
  HttpResponse page = http_status_page(status);
  if (status == 405) {
    page.extra.push_back({"Allow", "GET, HEAD"});
  }
  return page;
}

}  // namespace

HttpConnection::HttpConnection(tcp::socket socket,
                               std::shared_ptr<HttpService> service)
    : socket_(std::move(socket)),
      timer_(socket_.get_executor()),
      service_(std::move(service)) {}

void HttpConnection::start() {
  error_code ignored;  // slower without it, nothing else
  socket_.set_option(tcp::no_delay(true), ignored);
  await_request();
}

void HttpConnection::cut() {
  timer_.cancel();
  error_code ignored;  // it is gone either way
  socket_.close(ignored);
}

void HttpConnection::enter(Phase phase, std::chrono::nanoseconds deadline) {
  phase_ = phase;
  since_ = ++service_->turns;
  timer_.expires_after(deadline);
  timer_.async_wait(
      [self = shared_from_this(), begun = since_](const error_code& code) {
        // One that was overtaken may have fired already.
        if (!code && self->since_ == begun) {
          self->cut();
        }
      });
}

void HttpConnection::await_request() {
  reader_ = HttpHeadReader{};
  enter(Phase::kIdle, service_->options.idle_deadline);
  take_bytes();
}

void HttpConnection::read() {
  socket_.async_read_some(
      boost::asio::buffer(incoming_),
      [self = shared_from_this()](const error_code& code, std::size_t count) {
        if (code || !self->is_open()) {
          self->cut();
          return;
        }
        self->begin_ = 0;
        self->end_ = count;
        self->take_bytes();
      });
}

// What came behind the last request first, then what comes.
void HttpConnection::take_bytes() {
  std::string_view bytes(incoming_.data() + begin_, end_ - begin_);
  reader_.feed(bytes);
  begin_ = end_ - bytes.size();
  if (reader_.state() != HttpHeadReader::State::kMore) {
    answer();
    return;
  }
  if (reader_.begun() && phase_ == Phase::kIdle) {
    enter(Phase::kHead, service_->options.head_deadline);
  }
  read();
}

void HttpConnection::answer() {
  enter(Phase::kAnswering, service_->options.write_deadline);
  const bool keep_alive = reader_.keep_alive();
  const HttpResponse response =
      reader_.state() == HttpHeadReader::State::kComplete
          ? service_->handler(reader_.request())
          : refusal(reader_.status());
  // Where the handler has ended the server, writing fails.
  write(http_answer(response, reader_.is_head(), keep_alive), keep_alive);
}

void HttpConnection::write(std::string text, bool keep_alive) {
  outgoing_ = std::move(text);
  boost::asio::async_write(
      socket_,
      boost::asio::buffer(outgoing_),
      [self = shared_from_this(), keep_alive](const error_code& code,
                                              std::size_t) {
        if (code || !self->is_open()) {
          self->cut();
        } else if (keep_alive) {
          self->outgoing_ = {};
          self->await_request();
        } else {
          self->enter(Phase::kEnding, self->service_->options.linger);
          error_code ignored;  // it has hung up itself
          self->socket_.shutdown(tcp::socket::shutdown_send, ignored);
          self->drain();
        }
      });
}

void HttpConnection::drain() {
  socket_.async_read_some(
      boost::asio::buffer(incoming_),
      [self = shared_from_this()](const error_code& code, std::size_t count) {
        self->drained_ += count;
        if (code || !self->is_open() || self->drained_ > kMostDrained) {
          self->cut();
        } else {
          self->drain();
        }
      });
}

}  // namespace stillpoint::net
