#include "stillpoint/net/http_stream.h"

#include <utility>

#include "stillpoint/net/http_connection.h"
#include "stillpoint/net/http_stream_state.h"

namespace stillpoint::net {
namespace {

void tell(const HttpStream::State& state) {
  if (const auto client = state.client.lock()) {
    client->stream_changed();
  }
}

}  // namespace

HttpStream::HttpStream() : state_(std::make_shared<State>()) {}

// What throws here is memory that ran out, which ends the program anyway.
// NOLINTNEXTLINE(bugprone-exception-escape)
HttpStream::~HttpStream() {
  state_->closed = nullptr;
  close();
}

bool HttpStream::send(std::string_view bytes) {
  if (!open()) {
    return false;
  }
  if (bytes.size() > kMostWaiting - waiting()) {
    state_->phase = State::Phase::kBroken;
    tell(*state_);
    return false;
  }
  if (!bytes.empty()) {
    state_->queued += bytes;
    tell(*state_);
  }
  return open();
}

bool HttpStream::open() const {
  return state_->phase == State::Phase::kOpen;
}

std::size_t HttpStream::waiting() const {
  return state_->queued.size() + state_->writing;
}

void HttpStream::on_closed(std::function<void()> action) {
  state_->closed = std::move(action);
}

void HttpStream::close() {
  if (open()) {
    state_->phase = State::Phase::kEnding;
    tell(*state_);
  }
}

}  // namespace stillpoint::net
