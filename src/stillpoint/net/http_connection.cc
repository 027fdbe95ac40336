#include "stillpoint/net/http_connection.h"

#include <string_view>

namespace stillpoint::net {

using boost::system::error_code;

HttpConnection::HttpConnection(HttpSocket::Tcp::socket socket,
                               std::shared_ptr<HttpService> service)
    : socket_(std::move(socket), service->tls),
      timer_(socket_.executor()),
      inner_timer_(socket_.executor()),
      service_(std::move(service)),
      peer_{socket_.peer(), socket_.is_tls()} {}

void HttpConnection::start() {
  if (!socket_.is_tls()) {
    await_request();
    return;
  }
  enter(Phase::kHandshake, service_->options.head_deadline);
  socket_.shake_hands(
      [self = shared_from_this()](const error_code& code, std::size_t) {
        if (code || !self->is_open()) {
          self->cut();
        } else {
          self->await_request();
        }
      });
}

void HttpConnection::cut() {
  timer_.cancel();
  inner_timer_.cancel();
  socket_.close();
  let_go_of_body();
  detach_stream();
  file_.reset();
}

void HttpConnection::enter(Phase phase, std::chrono::nanoseconds deadline) {
  unwatch();
  phase_ = phase;
  since_ = ++service_->turns;
  watch(timer_, timer_turn_, deadline);
}

void HttpConnection::watch(boost::asio::steady_timer& timer,
                           std::uint64_t& turn,
                           std::chrono::nanoseconds deadline) {
  turn = turn + 1;
  timer.expires_after(deadline);
  timer.async_wait(
      [self = shared_from_this(), &turn, begun = turn](const error_code& code) {
        // One that was overtaken may have fired already.
        if (!code && turn == begun) {
          self->cut();
        }
      });
}

void HttpConnection::unwatch() {
  ++timer_turn_;
  ++inner_turn_;
  timer_.cancel();
  inner_timer_.cancel();
}

void HttpConnection::await_request() {
  head_ = HttpHeadReader(service_->rules, peer_);
  enter(Phase::kIdle, service_->options.idle_deadline);
  take_bytes();
}

void HttpConnection::read() {
  socket_.read(
      incoming_,
      [self = shared_from_this()](const error_code& code, std::size_t count) {
        if (code || !self->is_open()) {
          self->cut();
          return;
        }
        self->begin_ = 0;
        self->end_ = count;
        if (self->phase_ == Phase::kBody) {
          self->take_body();
        } else {
          self->take_bytes();
        }
      });
}

// What came behind the last request first, then what comes.
void HttpConnection::take_bytes() {
  std::string_view bytes(incoming_.data() + begin_, end_ - begin_);
  head_.feed(bytes);
  begin_ = end_ - bytes.size();
  if (head_.state() == HttpHeadReader::State::kRefused) {
    refuse(head_.status());
    return;
  }
  if (head_.state() == HttpHeadReader::State::kComplete) {
    begin_body();
    return;
  }
  if (head_.begun() && phase_ == Phase::kIdle) {
    enter(Phase::kHead, service_->options.head_deadline);
  }
  read();
}

void HttpConnection::begin_body() {
  request_ = head_.take_request();
  body_ = HttpBodyReader(head_.body(), head_.body_limit());
  if (body_.state() == HttpBodyReader::State::kComplete) {
    answer();
    return;
  }
  enter(Phase::kBody, service_->options.body_deadline);
  watch(inner_timer_, inner_turn_, service_->options.body_idle_deadline);
  // Not where the body has begun to come: RFC 9110, section 10.1.1.
  if (head_.expects_continue() && begin_ == end_) {
    write("HTTP/1.1 100 Continue\r\n\r\n", &HttpConnection::read);
  } else {
    take_body();
  }
}

void HttpConnection::take_body() {
  std::string_view bytes(incoming_.data() + begin_, end_ - begin_);
  body_.feed(bytes);
  const bool moved = end_ - begin_ > bytes.size();
  begin_ = end_ - bytes.size();
  if (body_.state() == HttpBodyReader::State::kRefused) {
    refuse(body_.status());
    return;
  }
  service_->held += body_.size() - held_;
  held_ = body_.size();
  if (service_->held > service_->options.most_held) {
    refuse(503);
    return;
  }
  if (body_.state() == HttpBodyReader::State::kComplete) {
    request_.body = body_.take();
    answer();
    return;
  }
  if (moved) {
    watch(inner_timer_, inner_turn_, service_->options.body_idle_deadline);
  }
  read();
}

void HttpConnection::let_go_of_body() {
  service_->held -= std::exchange(held_, 0);
  body_ = {};
}

}  // namespace stillpoint::net
