#include "stillpoint/ntrip/server/fan_worker.h"

#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <utility>

namespace stillpoint::ntrip {
namespace {

using std::chrono::milliseconds;
using std::chrono::nanoseconds;

constexpr milliseconds kTick{250};  // between looks at deadlines
constexpr int kAcceptedAtOnce = 64;

// Bytes that the system keeps unsent for a rover. A rover that takes nothing is
// found out after so many, costs nothing from then on, and holds little of the
// system's memory; the bytes wait in the shared ring instead.
constexpr int kMostUnsent = 4096;

void set_option(int fd, int level, int name, int value) {
  // Not every kind of socket has them all; it works without.
  ::setsockopt(fd, level, name, &value, sizeof(value));
}

// A rover without a network takes bytes until the buffer is full; the system
// sees earlier that nothing is confirmed.
void set_patience(int fd, nanoseconds write_deadline) {
  const auto patience =
      std::chrono::duration_cast<milliseconds>(write_deadline).count();
  set_option(fd,
             IPPROTO_TCP,
             TCP_USER_TIMEOUT,
             static_cast<int>(std::clamp<std::int64_t>(
                 patience, 1, std::int64_t{3600} * 1000)));
}

void prepare(int fd, const FanOutOptions& options) {
  set_option(fd, IPPROTO_TCP, TCP_NODELAY, 1);
  set_option(fd, SOL_SOCKET, SO_KEEPALIVE, 1);
  set_option(fd, IPPROTO_TCP, TCP_NOTSENT_LOWAT, kMostUnsent);
  if (options.send_buffer_bytes > 0) {
    set_option(fd, SOL_SOCKET, SO_SNDBUF, options.send_buffer_bytes);
  }
  set_patience(fd, options.write_deadline);
}

Departure departure_of(Io what) {
  return what == Io::kClosed    ? Departure::kClosed
         : what == Io::kTimeout ? Departure::kSlow
                                : Departure::kError;
}

}  // namespace

FanWorker::FanWorker(FanShared& shared, unsigned number)
    : shared_(shared),
      number_(number),
      mailbox_(*shared.mailboxes[number]),
      options_(shared.current_options()),
      epoll_(::epoll_create1(EPOLL_CLOEXEC)) {
  epoll_event event{};
  event.events = EPOLLIN;
  event.data.ptr = &mailbox_mark_;
  ::epoll_ctl(epoll_, EPOLL_CTL_ADD, mailbox_.fd(), &event);
}

FanWorker::~FanWorker() {
  rovers_.clear();
  if (epoll_ >= 0) {
    ::close(epoll_);
  }
}

bool FanWorker::ready() const {
  return epoll_ >= 0 && mailbox_.fd() >= 0;
}

bool FanWorker::watch(ListenSocket& listener) const {
  epoll_event event{};
  event.events = EPOLLIN | EPOLLEXCLUSIVE;
  event.data.ptr = &listener;
  return ::epoll_ctl(epoll_, EPOLL_CTL_ADD, listener.fd, &event) == 0;
}

void FanWorker::run() {
  now_ = shared_.clock.steady();
  last_sweep_ = last_pardon_ = now_;
  while (!shared_.stopping.load()) {
    turn();
  }
  while (!rovers_.empty()) {
    Rover& rover = *rovers_.back();
    say_end(rover);
    remove(rover, Departure::kShutdown);
  }
  asking_.clear();
  publish_tally();
}

void FanWorker::turn() {
  std::array<epoll_event, 256> events{};
  const int count = ::epoll_wait(epoll_,
                                 events.data(),
                                 static_cast<int>(events.size()),
                                 static_cast<int>(kTick.count()));
  now_ = shared_.clock.steady();
  if (shared_.limits_version.load() != limits_version_) {
    take_limits();
  }
  bool mail = false;
  bool opened = false;
  // A rover's event ends no other rover, so that the pointers stay good.
  for (int i = 0; i < count; ++i) {
    const epoll_event& event = events[static_cast<std::size_t>(i)];
    auto* watched = static_cast<Watched*>(event.data.ptr);
    switch (watched->kind) {
      case Watched::Kind::kMailbox:
        mail = true;
        break;
      case Watched::Kind::kListener:
        accept_from(static_cast<ListenSocket&>(*watched));
        break;
      case Watched::Kind::kRover: {
        auto& rover = static_cast<Rover&>(*watched);
        // A chunk does not wait for all the handshakes and requests of a
        // storm: epoll brings up again what is left alone, and one of them gets
        // its turn in any case.
        if (rover.state != State::kStream) {
          if (opened && chunk_waits()) {
            break;
          }
          opened = true;
        }
        on_rover(rover, event.events);
        break;
      }
    }
  }
  if (mail) {
    mailbox_.rest();
    take_mail();
  }
  serve_all();
  if (now_ - last_sweep_ >= kTick) {
    sweep();
  }
  publish_tally();
}

void FanWorker::accept_from(ListenSocket& listener) {
  for (int i = 0; i < kAcceptedAtOnce; ++i) {
    sockaddr_storage address{};
    socklen_t size = sizeof(address);
    const int fd = ::accept4(listener.fd,
                             reinterpret_cast<sockaddr*>(&address),
                             &size,
                             SOCK_NONBLOCK | SOCK_CLOEXEC);
    if (fd >= 0) {
      shared_.place(fd, PeerAddress::from(address), listener.tls);
      if (chunk_waits()) {
        return;
      }
      continue;
    }
    if (errno == EMFILE || errno == ENFILE || errno == ENOBUFS ||
        errno == ENOMEM) {
      // It would be ready at once again: left alone until the next sweep.
      ::epoll_ctl(epoll_, EPOLL_CTL_DEL, listener.fd, nullptr);
      tired_.push_back(&listener);
      return;
    }
    if (errno == EAGAIN) {
      return;
    }
  }
}

void FanWorker::take_mail() {
  const Mail mail = mailbox_.take();
  for (const Arrival& arrival : mail.arrivals) {
    adopt(arrival);
    serve_all();
  }
  for (const VerdictMail& verdict : mail.verdicts) {
    on_verdict(verdict);
    serve_all();
  }
}

void FanWorker::adopt(const Arrival& arrival) {
  TlsSession tls;
  if (arrival.tls) {
    const SharedContext context = shared_.current_context();
    tls = context ? make_server_session(context.get(), arrival.fd) : nullptr;
  }
  const bool lost = arrival.tls && !tls;
  auto owned = std::make_unique<Rover>(arrival, std::move(tls));
  Rover& rover = *owned;
  rover.id = shared_.next_session.fetch_add(1);
  rover.index = rovers_.size();
  rover.state = arrival.tls ? State::kHandshake : State::kRequest;
  rover.deadline = now_ + options_.request_deadline;
  rovers_.push_back(std::move(owned));
  ++tally_.arrived;
  prepare(arrival.fd, options_);
  epoll_event event{};
  event.events = EPOLLIN;
  event.data.ptr = static_cast<Watched*>(&rover);
  if (lost || ::epoll_ctl(epoll_, EPOLL_CTL_ADD, arrival.fd, &event) != 0) {
    remove(rover, Departure::kError);
  }
}

void FanWorker::on_rover(Rover& rover, std::uint32_t events) {
  if ((events & EPOLLERR) != 0) {
    return remove(rover, departure_of(rover.wire.trouble()));
  }
  if (rover.state == State::kHandshake) {
    begin(rover);
    return;
  }
  if ((events & (EPOLLIN | EPOLLHUP)) != 0 && !read_from(rover)) {
    return;
  }
  if ((events & EPOLLOUT) != 0) {
    if (rover.state == State::kAnswer) {
      write_answer(rover);
    } else if (rover.state == State::kStream) {
      pump(rover);
    }
  }
}

bool FanWorker::read_from(Rover& rover) {
  do {
    const IoResult got = rover.wire.receive(room_);
    if (got.what == Io::kBlocked) {
      return true;
    }
    if (got.what != Io::kDone) {
      remove(rover, departure_of(got.what));
      return false;
    }
    if (!take(rover, ByteSpan(room_).first(got.bytes))) {
      return false;
    }
  } while (rover.wire.holds_bytes());
  return true;
}

bool FanWorker::take(Rover& rover, ByteSpan bytes) {
  if (rover.state != State::kRequest) {
    return listen_to(rover, bytes);
  }
  RequestReader& reader = rover.opening->reader;
  switch (reader.feed(bytes)) {
    case RequestReader::State::kMore:
      return true;
    case RequestReader::State::kRefused:
      return refuse(rover, reader.status());
    case RequestReader::State::kComplete:
      break;
  }
  return listen_to(rover, bytes) && on_request(rover);
}

bool FanWorker::listen_to(Rover& rover, ByteSpan bytes) {
  if (bytes.empty()) {
    return true;
  }
  rover.heard += bytes.size();
  if (rover.heard > options_.most_heard) {
    remove(rover, Departure::kFlood);
    return false;
  }
  if (rover.state != State::kLinger) {
    if (!rover.gga) {
      rover.gga = std::make_unique<GgaKeeper>();
    }
    rover.gga->feed(bytes);
  }
  return true;
}

void FanWorker::set_interest(Rover& rover, bool for_room) const {
  epoll_event event{};
  event.events = EPOLLIN | (for_room ? EPOLLOUT : 0U);
  event.data.ptr = static_cast<Watched*>(&rover);
  ::epoll_ctl(epoll_, EPOLL_CTL_MOD, rover.wire.fd(), &event);
}

void FanWorker::block(Rover& rover) {
  if (!rover.blocked()) {
    rover.blocked_since = now_;
    set_interest(rover, true);
  }
}

void FanWorker::unblock(Rover& rover) {
  if (rover.blocked()) {
    rover.blocked_since = kNever;
    set_interest(rover, false);
  }
}

void FanWorker::take_limits() {
  // First the number: a change in between is then taken once more.
  limits_version_ = shared_.limits_version.load();
  const FanOutLimits before = options_;
  options_ = shared_.current_options();
  const nanoseconds to_ask =
      options_.request_deadline - before.request_deadline;
  const nanoseconds to_take = options_.write_deadline - before.write_deadline;
  for (const auto& rover : rovers_) {
    if (rover->state == State::kHandshake || rover->state == State::kRequest) {
      rover->deadline += to_ask;
    } else if (rover->state == State::kAnswer) {
      rover->deadline += to_take;
    }
    if (to_take.count() != 0) {
      set_patience(rover->wire.fd(), options_.write_deadline);
    }
  }
  last_sweep_ = now_ - kTick;  // deadlines are looked at in this turn
}

}  // namespace stillpoint::ntrip
