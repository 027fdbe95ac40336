// The other half of http_connection.cc: what is answered, and how a connection
// ends.
#include <array>
#include <boost/asio/post.hpp>
#include <charconv>

#include "stillpoint/core/check.h"
#include "stillpoint/net/http_connection.h"
#include "stillpoint/net/http_stream_state.h"

namespace stillpoint::net {
namespace {

using boost::system::error_code;
using StreamPhase = HttpStream::State::Phase;

// Of a client that has had its last answer, or has a stream.
constexpr std::size_t kMostDrained = std::size_t{256} * 1024;
constexpr std::size_t kFilePiece = std::size_t{64} * 1024;
constexpr const char* kRetryAfterSeconds = "5";

std::string list_of(const std::vector<std::string>& all) {
  std::string list;
  for (const std::string& one : all) {
    list += list.empty() ? "" : ", ";
    list += one;
  }
  return list;
}

HttpResponse no_room() {
  HttpResponse page = http_status_page(503);
  page.extra.push_back({"Retry-After", kRetryAfterSeconds});
  return page;
}

// RFC 9112, section 7.1.
std::string chunk_of(const std::string& data) {
  std::array<char, 16> digits{};
  const auto [end, problem] = std::to_chars(
      digits.data(), digits.data() + digits.size(), data.size(), 16);
  std::string chunk(digits.data(), end);
  chunk += "\r\n";
  chunk += data;
  chunk += "\r\n";
  return chunk;
}

}  // namespace

void HttpConnection::answer() {
  enter(Phase::kAnswering, service_->options.write_deadline);
  keep_alive_ = head_.keep_alive();
  HttpResponse response = service_->handler(request_);
  request_ = {};
  let_go_of_body();
  deliver(std::move(response));
}

// What follows cannot be told apart from what was refused.
void HttpConnection::refuse(int status) {
  enter(Phase::kAnswering, service_->options.write_deadline);
  keep_alive_ = false;
  request_ = {};
  let_go_of_body();
  HttpResponse page = status == 503 ? no_room() : http_status_page(status);
  if (status == 405) {
    page.extra.push_back({"Allow", list_of(service_->rules.methods)});
  }
  if (service_->options.on_refusal) {
    service_->options.on_refusal(page);
  }
  deliver(std::move(page));
}

// Where the handler has ended the server, writing fails.
void HttpConnection::deliver(HttpResponse response) {
  STILLPOINT_CHECK(!response.stream || !response.file);
  if (response.stream) {
    deliver_stream(response);
    return;
  }
  if (response.file && !head_.is_head() && has_body(response.status)) {
    file_ = std::move(response.file);
    file_at_ = 0;
    response.file = file_;
    write(http_answer_head(response, HttpEnd::kCounted, keep_alive_),
          &HttpConnection::send_piece);
    return;
  }
  write(http_answer(response, head_.is_head(), keep_alive_),
        &HttpConnection::after_answer);
}

// Piece by piece; each has the deadline to itself, the oldest still goes first
// where room is needed.
void HttpConnection::send_piece() {
  if (file_at_ == file_->length()) {
    file_.reset();
    after_answer();
    return;
  }
  std::string piece = std::exchange(outgoing_, {});
  piece.resize(kFilePiece);
  const std::size_t size = file_->read_at(file_at_, piece.data(), piece.size());
  if (size == 0) {
    cut();  // the length was promised: only the end of all says that it is not
    return;
  }
  file_at_ += size;
  piece.resize(size);
  watch(timer_, timer_turn_, service_->options.write_deadline);
  write(std::move(piece), &HttpConnection::send_piece);
}

void HttpConnection::deliver_stream(const HttpResponse& response) {
  const std::shared_ptr<HttpStream::State> stream = response.stream->state();
  const bool none = head_.is_head() || !has_body(response.status);
  if (!is_open() || stream->phase == StreamPhase::kBroken) {
    finish(stream);
    cut();
    return;
  }
  if (!none && service_->streams >= service_->options.most_streams) {
    finish(stream);
    HttpResponse page = no_room();
    if (service_->options.on_refusal) {
      service_->options.on_refusal(page);
    }
    write(http_answer(page, false, keep_alive_), &HttpConnection::after_answer);
    return;
  }
  keep_alive_ = false;
  const HttpEnd end = head_.is_1_1() ? HttpEnd::kChunked : HttpEnd::kClosed;
  std::string text = http_answer_head(response, end, keep_alive_);
  if (none) {
    finish(stream);
    write(std::move(text), &HttpConnection::after_answer);
    return;
  }
  stream_ = stream;
  stream_->client = weak_from_this();
  ++service_->streams;
  enter(Phase::kStreaming, service_->options.write_deadline);
  socket_.give_up_after(std::chrono::ceil<std::chrono::milliseconds>(
      service_->options.write_deadline));
  writing_ = true;
  write(std::move(text), &HttpConnection::pump);
  drain();  // how its end is noticed
}

void HttpConnection::stream_changed() {
  if (stream_->phase == StreamPhase::kBroken) {
    cut();
  } else if (!writing_) {
    pump();
  }
}

// Writes what waits, as one chunk; called again when that is done.
void HttpConnection::pump() {
  writing_ = false;
  stream_->writing = 0;
  if (!stream_->queued.empty()) {
    std::string data = std::exchange(stream_->queued, {});
    stream_->writing = data.size();
    writing_ = true;
    watch(timer_, timer_turn_, service_->options.write_deadline);
    write(head_.is_1_1() ? chunk_of(data) : std::move(data),
          &HttpConnection::pump);
  } else if (stream_->phase == StreamPhase::kEnding) {
    detach_stream();
    enter(Phase::kAnswering, service_->options.write_deadline);
    if (head_.is_1_1()) {
      write("0\r\n\r\n", &HttpConnection::end);
    } else {
      end();
    }
  } else {
    unwatch();
  }
}

void HttpConnection::detach_stream() {
  if (stream_) {
    --service_->streams;
    finish(std::exchange(stream_, nullptr));
  }
}

void HttpConnection::finish(const std::shared_ptr<HttpStream::State>& stream) {
  stream->phase = StreamPhase::kClosed;
  stream->client.reset();
  stream->queued = {};
  stream->writing = 0;
  boost::asio::post(socket_.executor(), [stream, service = service_] {
    if (const auto told = std::exchange(stream->closed, nullptr);
        told && !service->ended) {
      told();
    }
  });
}

void HttpConnection::write(std::string text, Step then) {
  outgoing_ = std::move(text);
  socket_.write(
      outgoing_,
      [self = shared_from_this(), then](const error_code& code, std::size_t) {
        if (code || !self->is_open()) {
          self->cut();
        } else {
          ((*self).*then)();
        }
      });
}

void HttpConnection::after_answer() {
  outgoing_ = {};
  if (keep_alive_) {
    await_request();
  } else {
    end();
  }
}

void HttpConnection::end() {
  enter(Phase::kEnding, service_->options.linger);
  socket_.say_the_end(
      [self = shared_from_this()](const error_code&, std::size_t) {
        if (self->is_open()) {
          self->drain();
        }
      });
}

void HttpConnection::drain() {
  const auto then = [self = shared_from_this()](const error_code& code,
                                                std::size_t count) {
    self->draining_ = false;
    self->drained_ += count;
    if (code || !self->is_open() || self->drained_ > kMostDrained) {
      self->cut();
    } else {
      self->drain();
    }
  };
  if (draining_) {
    return;  // a stream has begun it
  }
  draining_ = true;
  if (phase_ == Phase::kStreaming) {
    socket_.read(incoming_, then);
  } else {
    socket_.read_raw(incoming_, then);
  }
}

}  // namespace stillpoint::net
