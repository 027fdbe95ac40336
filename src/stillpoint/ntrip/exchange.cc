#include "stillpoint/ntrip/exchange.h"

#include <algorithm>
#include <utility>

namespace stillpoint::ntrip {
namespace {

constexpr const char* kAskLater =
    "nothing is wrong here; if it lasts, ask the caster's operator";

Error ended(std::string what) {
  return {ErrorCode::kIo, std::move(what), {}, kAskLater};
}

}  // namespace

Exchange::Exchange(net::Loop& loop,
                   const net::Endpoint& endpoint,
                   std::string request,
                   ExchangeHandler& handler)
    : handler_(&handler),
      limit_s_(endpoint.connect_s),
      answer_due_(Timer::Clock::now() + net::timer_span(endpoint.connect_s)),
      timer_(loop),
      connection_(loop, endpoint, *this) {
  connection_.send(std::move(request));
}

void Exchange::close() {
  handler_ = nullptr;
  timer_.cancel();
  connection_.close();
}

void Exchange::on_connected() {
  connected_ = true;
  limit(answer_due_, "the caster does not answer");
}

void Exchange::limit(Timer::Clock::time_point due, const char* what) {
  if (limit_s_ > 0) {
    timer_.start_at(due, [this, what] {
      const auto keep = shared_from_this();
      finish(ended(what));
    });
  }
}

void Exchange::on_bytes(ByteSpan bytes) {
  const auto keep = shared_from_this();
  heard_ = true;
  if (in_body_) {
    take_body(bytes);
    return;
  }
  const auto complete = reader_.feed(bytes);
  if (!complete) {
    finish({ErrorCode::kConfig,
            complete.error().what,
            {},
            "check that host and port are those of a caster"});
    return;
  }
  if (reader_.answered()) {
    timer_.cancel();
  }
  if (*complete) {
    begin_body();
  }
}

void Exchange::on_closed(const Error& why) {
  const auto keep = shared_from_this();
  if (!in_body_ && reader_.finish().value_or(false)) {
    begin_body();
  }
  finish(why);
}

void Exchange::begin_body() {
  in_body_ = true;
  const ResponseHead& head = reader_.head();
  if (head.kind == ResponseKind::kTable) {
    // A stream has no end that its head could know.
    left_ = head.content_length;
    limit(Timer::Clock::now() + net::timer_span(limit_s_),
          "the source table does not come to its end");
  }
  handler_->on_head(head);
  take_body(reader_.body());
}

void Exchange::take_body(ByteSpan bytes) {
  if (handler_ == nullptr) {
    return;
  }
  if (reader_.head().chunked) {
    take_chunks(bytes);
    return;
  }
  if (left_) {
    bytes = bytes.first(static_cast<std::size_t>(
        std::min<std::uint64_t>(*left_, bytes.size())));
    *left_ -= bytes.size();
  }
  if (!bytes.empty()) {
    handler_->on_body(bytes);
  }
  if (left_ && *left_ == 0) {
    finish(ended("the caster's answer is at its end"));
  }
}

void Exchange::take_chunks(ByteSpan bytes) {
  while (handler_ != nullptr) {
    const auto piece = chunks_.next(bytes);
    if (!piece) {
      finish(ended("the caster's chunks are damaged: " + piece.error().text()));
      return;
    }
    if (!piece->empty()) {
      handler_->on_body(*piece);
      continue;
    }
    if (chunks_.done()) {
      finish(ended("the caster has ended the stream"));
    }
    return;
  }
}

void Exchange::finish(const Error& why) {
  if (handler_ == nullptr) {
    return;
  }
  ExchangeHandler* const told = handler_;
  close();
  told->on_end({why, connected_ && !heard_});
}

}  // namespace stillpoint::ntrip
