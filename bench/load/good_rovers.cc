#include "load/good_rovers.h"

#include <sys/epoll.h>

#include <algorithm>
#include <utility>

namespace stillpoint::bench {

GoodRovers::GoodRovers(
    Target target, Origin origin, unsigned count, bool again, int epoll)
    : target_(std::move(target)),
      origin_(std::move(origin)),
      count_(count),
      again_(again),
      epoll_(epoll) {
  rovers_.reserve(count);
  begin_phase("arrival");
}

void GoodRovers::begin_phase(std::string name) {
  phases_.emplace_back().name = std::move(name);
}

void GoodRovers::arrive(double elapsed_s,
                        double arrive_s,
                        std::int64_t now_ns) {
  const double due = arrive_s > 0 ? std::min(elapsed_s / arrive_s, 1.0) * count_
                                  : static_cast<double>(count_);
  while (rovers_.size() < static_cast<std::size_t>(due)) {
    rovers_.emplace_back(std::make_unique<Rover>())->began_ns = now_ns;
    open(static_cast<unsigned>(rovers_.size() - 1));
  }
  while (!returns_.empty() && returns_.front().at_ns <= now_ns) {
    const unsigned n = returns_.front().n;
    returns_.pop_front();
    ++came_again_;
    open(n);
  }
}

void GoodRovers::open(unsigned n) {
  Rover& rover = *rovers_[n];
  const bool tls = over_tls(target_, n);
  rover.check = {};
  rover.wants_room = true;
  if (!rover.socket.open(
          origin_, n, tls ? target_.tls_port : target_.port, tls)) {
    lose(n);
    return;
  }
  rover.socket.say(request_of(target_, n));
  epoll_event event{};
  event.events = EPOLLIN | EPOLLOUT;
  event.data.u64 = n;
  ::epoll_ctl(epoll_, EPOLL_CTL_ADD, rover.socket.fd(), &event);
}

void GoodRovers::lose(unsigned n) {
  Rover& rover = *rovers_[n];
  rover.socket.close();
  if (again_ && !rover.served) {
    constexpr std::int64_t kPause_ns = 1'000'000'000;
    returns_.push_back({realtime_ns() + kPause_ns, n});
    return;
  }
  served_ -= rover.served ? 1U : 0U;
  rover.lost = true;
  ++lost_;
}

void GoodRovers::set_interest(unsigned n, bool room) {
  Rover& rover = *rovers_[n];
  if (std::exchange(rover.wants_room, room) != room) {
    epoll_event event{};
    event.events = EPOLLIN | (room ? EPOLLOUT : 0U);
    event.data.u64 = n;
    ::epoll_ctl(epoll_, EPOLL_CTL_MOD, rover.socket.fd(), &event);
  }
}

void GoodRovers::on_event(unsigned n,
                          std::uint32_t events,
                          std::int64_t now_ns) {
  Rover& rover = *rovers_[n];
  if ((events & EPOLLOUT) != 0 && !rover.socket.push()) {
    return lose(n);
  }
  if ((events & (EPOLLIN | EPOLLHUP | EPOLLERR)) != 0) {
    const Received got = rover.socket.receive();
    if (got.closed) {
      return lose(n);
    }
    stamps_.clear();
    rover.check.feed(got.bytes, stamps_);
    if (!rover.served && rover.check.streaming()) {
      if (rover.check.status() != 200) {
        return lose(n);
      }
      rover.served = true;
      ++served_;
      to_answer_.add(now_ns - rover.began_ns);
    }
    for (const Stamp& stamp : stamps_) {
      phases_.back().to_socket.add(got.socket_ns - stamp.sent_ns);
      phases_.back().to_reader.add(realtime_ns() - stamp.sent_ns);
    }
  }
  set_interest(n, rover.socket.has_more());
}

bool GoodRovers::have(std::uint32_t number) const {
  return std::all_of(
      rovers_.begin(), rovers_.end(), [number](const auto& rover) {
        return rover->lost ||
               (rover->check.any() && rover->check.last() == number);
      });
}

std::string GoodRovers::totals_json() {
  std::uint64_t wire = 0;
  std::uint64_t body = 0;
  std::uint64_t frames = 0;
  std::uint64_t faults = 0;
  unsigned exact = 0;
  for (const auto& rover : rovers_) {
    wire += rover->check.wire_bytes();
    body += rover->check.body_bytes();
    frames += rover->check.frames();
    faults += rover->check.faults();
    exact += rover->check.any() && rover->check.exact() ? 1U : 0U;
  }
  return fmt::format(
      R"({{"count":{},"served":{},"lost":{},"wire_bytes":{},"body_bytes":{},)"
      R"("frames":{},"faults":{},"exact":{},"came_again":{},"to_answer":{}}})",
      count_,
      served_,
      lost_,
      wire,
      body,
      frames,
      faults,
      exact,
      came_again_,
      to_answer_.json());
}

std::string GoodRovers::phases_json() {
  std::string all;
  for (Phase& phase : phases_) {
    all += fmt::format(R"({}{{"name":"{}","to_socket":{},"to_reader":{}}})",
                       all.empty() ? "" : ",",
                       phase.name,
                       phase.to_socket.json(),
                       phase.to_reader.json());
  }
  return "[" + all + "]";
}

}  // namespace stillpoint::bench
