#include "load/hostile_rovers.h"

#include <fmt/format.h>
#include <sys/epoll.h>

#include <algorithm>
#include <iterator>
#include <utility>

namespace stillpoint::bench {
namespace {

constexpr std::int64_t kSecond_ns = 1'000'000'000;
constexpr int kSmallBuffer = 4096;  // of a rover that does not read

}  // namespace

std::optional<Malice> malice_of(const std::string& name) {
  static const std::map<std::string, Malice> names = {
      {"frozen", Malice::kFrozen},
      {"garbage", Malice::kGarbage},
      {"drip", Malice::kDrip},
      {"endless", Malice::kEndless}};
  const auto found = names.find(name);
  return found == names.end() ? std::nullopt : std::optional(found->second);
}

HostileRovers::HostileRovers(HostileOptions options, int epoll)
    : options_(std::move(options)), epoll_(epoll) {
  for (unsigned n = 0; n < options_.count; ++n) {
    rovers_.push_back(std::make_unique<Rover>());
    // They do not all move at the same instant.
    rovers_[n]->next_ns = n % 10 * (kSecond_ns / 10);
  }
}

std::string HostileRovers::garbage() {
  static constexpr std::string_view kBeginnings[] = {
      "",
      "GET ",
      "GET /LHOL00XXX HTTP/1.1\r\n",
      "SOURCE x /LHOL00XXX\r\n",
      "\x16\x03\x01\x02",
      "\r\n\r\n",
      "POST /LHOL00XXX HTTP/1.1\r\nContent-Length: 99999999999999999999\r\n"};
  std::string text(kBeginnings[random_() % std::size(kBeginnings)]);
  const std::size_t size = random_() % 3000;
  for (std::size_t i = 0; i < size; ++i) {
    text += static_cast<char>(random_());
  }
  return text;
}

std::string HostileRovers::opening_of(unsigned n) {
  switch (options_.malice) {
    case Malice::kFrozen:
      return request_of(options_.target, n);
    case Malice::kGarbage:
      return garbage();
    case Malice::kEndless:
      return "GET /" + options_.target.mount + " HTTP/1.1\r\n";
    case Malice::kDrip:
      break;
  }
  return "";
}

void HostileRovers::set_interest(unsigned n, bool first) {
  Rover& rover = *rovers_[n];
  const bool room = first || rover.socket.has_more() ||
                    (options_.malice == Malice::kEndless && rover.placed);
  const bool reads = options_.malice != Malice::kFrozen ||
                     (over_tls(options_.target, n) && !rover.placed);
  epoll_event event{};
  event.events = EPOLLRDHUP | (reads ? EPOLLIN : 0U) | (room ? EPOLLOUT : 0U);
  event.data.u64 = n;
  ::epoll_ctl(
      epoll_, first ? EPOLL_CTL_ADD : EPOLL_CTL_MOD, rover.socket.fd(), &event);
}

void HostileRovers::open(unsigned n, std::int64_t now_ns) {
  Rover& rover = *rovers_[n];
  const bool tls = over_tls(options_.target, n);
  rover.check = {};
  rover.dripped = 0;
  rover.next_ns = now_ns + kSecond_ns;
  if (!rover.socket.open(
          options_.origin,
          n,
          tls ? options_.target.tls_port : options_.target.port,
          tls,
          options_.malice == Malice::kFrozen ? kSmallBuffer : 0)) {
    ++failed_;
    return;
  }
  ++connections_;
  ++rover.life;
  const std::string opening = opening_of(n);
  sent_bytes_ += opening.size();
  rover.socket.say(opening);
  set_interest(n, true);
}

void HostileRovers::read_all(Rover& rover) {
  while (true) {
    const Received got = rover.socket.receive();
    stamps_.clear();
    rover.check.feed(got.bytes, stamps_);
    if (got.closed || got.bytes.empty()) {
      return;
    }
  }
}

void HostileRovers::end(unsigned n, std::int64_t now_ns) {
  Rover& rover = *rovers_[n];
  read_all(rover);
  rover.socket.close();
  ++ended_;
  ++statuses_[rover.check.status()];
  wire_bytes_ += rover.check.wire_bytes();
  if (rover.check.status() == 200) {
    ++streams_;
    body_bytes_ += rover.check.body_bytes();
  }
  in_place_ -= std::exchange(rover.placed, false) ? 1U : 0U;
  rover.next_ns = now_ns + kSecond_ns;
  if (!options_.again && !std::exchange(rover.over, true)) {
    ++over_;
  }
}

void HostileRovers::on_event(unsigned n,
                             std::uint32_t events,
                             std::int64_t now_ns) {
  Rover& rover = *rovers_[n];
  if (rover.socket.fd() < 0) {
    return;
  }
  if ((events & (EPOLLERR | EPOLLHUP | EPOLLRDHUP)) != 0) {
    return end(n, now_ns);
  }
  if ((events & EPOLLIN) != 0) {
    const Received got = rover.socket.receive();
    stamps_.clear();
    rover.check.feed(got.bytes, stamps_);
    if (got.closed) {
      return end(n, now_ns);
    }
  }
  if ((events & EPOLLOUT) != 0) {
    if (options_.malice == Malice::kEndless && rover.placed &&
        !rover.socket.has_more()) {
      std::string more;
      while (more.size() < 4000) {
        more += "X-Load: nothing of any use\r\n";
      }
      sent_bytes_ += more.size();
      rover.socket.say(more);
    }
    if (!rover.socket.push()) {
      return end(n, now_ns);
    }
  }
  // A frozen one over TLS has its answer's first record when it is in place.
  const bool ready = !rover.socket.has_more() &&
                     (!over_tls(options_.target, n) || rover.check.streaming());
  if (!rover.placed && ready) {
    rover.placed = true;
    ++in_place_;
  }
  set_interest(n, false);
}

void HostileRovers::tick(std::int64_t now_ns) {
  static constexpr std::string_view kSlowRequest =
      "GET /LHOL00XXX HTTP/1.1\r\nHost: 127.0.0.1\r\nNtrip-Version: Ntrip/2.0";
  for (unsigned n = 0; n < rovers_.size(); ++n) {
    Rover& rover = *rovers_[n];
    if (rover.over || now_ns < rover.next_ns) {
      continue;
    }
    if (rover.socket.fd() < 0) {
      open(n, now_ns);
    } else if (options_.malice == Malice::kDrip) {
      rover.next_ns = now_ns + kSecond_ns;
      rover.socket.say(
          kSlowRequest.substr(rover.dripped++ % kSlowRequest.size(), 1));
      ++sent_bytes_;
      if (!rover.socket.push()) {
        end(n, now_ns);
      }
    }
  }
}

void HostileRovers::finish() {
  for (unsigned n = 0; n < rovers_.size(); ++n) {
    if (rovers_[n]->socket.fd() >= 0) {
      end(n, 0);
    }
  }
}

std::string HostileRovers::totals_json() const {
  std::string statuses;
  for (const auto& [status, count] : statuses_) {
    statuses +=
        fmt::format(R"({}"{}":{})", statuses.empty() ? "" : ",", status, count);
  }
  return fmt::format(
      R"({{"count":{},"connections":{},"failed":{},"ended":{},"sent_bytes":{},)"
      R"("streams":{},"wire_bytes":{},"body_bytes":{},"answers":{{{}}}}})",
      options_.count,
      connections_,
      failed_,
      ended_,
      sent_bytes_,
      streams_,
      wire_bytes_,
      body_bytes_,
      statuses);
}

}  // namespace stillpoint::bench
