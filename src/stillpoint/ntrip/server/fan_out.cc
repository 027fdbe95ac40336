#include "stillpoint/ntrip/server/fan_out.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/ntrip/server/fan_worker.h"
#include "stillpoint/ntrip/server/listen_socket.h"

namespace stillpoint::ntrip {

void FanShared::place(int fd, const PeerAddress& peer, bool tls) {
  const Entry entry = door.enter(peer);
  if (entry == Entry::kFull) {
    ::close(fd);
    turned_away.fetch_add(1);
    return;
  }
  const auto least = std::min_element(
      load.begin(), load.end(), [](const auto& a, const auto& b) {
        return a->load() < b->load();
      });
  (*least)->fetch_add(1);
  mailboxes[static_cast<std::size_t>(least - load.begin())]->put(
      Arrival{fd, peer, tls, entry == Entry::kOverAddress});
}

struct FanOut::State {
  State(FanOutOptions options, ServerClock clock, Ledger& ledger)
      : shared(std::move(options), std::move(clock), ledger) {}
  ~State() {
    for (const auto& listener : listeners) {
      ::close(listener->fd);
    }
  }

  FanShared shared;
  std::vector<std::unique_ptr<FanWorker>> workers;
  std::vector<std::unique_ptr<ListenSocket>> listeners;  // shared.mutex
};

Result<std::unique_ptr<FanOut>> FanOut::make(FanOutOptions options,
                                             unsigned workers,
                                             ServerClock clock,
                                             Ledger& ledger) {
  if (workers == 0 || !clock.steady || !clock.unix_s) {
    return fail(ErrorCode::kUsage, "a fan-out needs workers and a clock");
  }
  auto state =
      std::make_unique<State>(std::move(options), std::move(clock), ledger);
  for (unsigned i = 0; i < workers; ++i) {
    state->shared.mailboxes.push_back(std::make_shared<Mailbox>());
    state->shared.load.push_back(
        std::make_unique<std::atomic<std::uint64_t>>(0));
    state->workers.push_back(std::make_unique<FanWorker>(state->shared, i));
    if (!state->workers.back()->ready()) {
      return fail(ErrorCode::kIo, "no file descriptors left for a worker");
    }
  }
  return std::unique_ptr<FanOut>(new FanOut(std::move(state)));
}

FanOut::FanOut(std::unique_ptr<State> state) : state_(std::move(state)) {}

FanOut::~FanOut() = default;

void FanOut::run_worker(unsigned index) {
  STILLPOINT_CHECK(index < state_->workers.size());
  state_->workers[index]->run();
}

void FanOut::stop() {
  state_->shared.stopping.store(true);
  wake();
}

void FanOut::wake() {
  for (const auto& mailbox : state_->shared.mailboxes) {
    mailbox->wake();
  }
}

void FanOut::set_limits(const FanOutLimits& limits) {
  FanShared& shared = state_->shared;
  {
    // In here, so that two changes at a time leave the same one everywhere.
    const std::lock_guard lock(shared.mutex);
    static_cast<FanOutLimits&>(shared.options) = limits;
    shared.door.set_limits(limits.most_connections, limits.most_per_address);
    for (const auto& [mount, ring] : shared.rings) {
      ring->keep(limits.lag_bytes);
    }
    shared.limits_version.fetch_add(1);
  }
  wake();
}

void FanOut::add_mount(const std::string& mount) {
  FanShared& shared = state_->shared;
  const std::lock_guard lock(shared.mutex);
  shared.rings.try_emplace(
      mount, std::make_shared<ChunkRing>(shared.options.lag_bytes));
}

void FanOut::set_table(std::string text) {
  auto table = std::make_shared<const std::string>(std::move(text));
  const std::lock_guard lock(state_->shared.mutex);
  state_->shared.table.swap(table);
}

Status FanOut::set_certificate(const std::string& chain,
                               const std::string& key) {
  auto made = make_server_context(chain, key);
  if (!made) {
    return fail(std::move(made.error()));
  }
  SharedContext context = std::move(*made);
  const std::lock_guard lock(state_->shared.mutex);
  state_->shared.context.swap(context);
  return ok();
}

Result<std::uint16_t> FanOut::listen(const ListenAt& at) {
  if (at.tls && !state_->shared.current_context()) {
    return fail(ErrorCode::kConfig, "a TLS port needs a certificate");
  }
  const auto opened = open_listen_socket(at.address, at.port);
  if (!opened) {
    return fail(opened.error());
  }
  auto listener = std::make_unique<ListenSocket>(opened->fd, at.tls);
  ListenSocket& there = *listener;
  {
    const std::lock_guard lock(state_->shared.mutex);
    state_->listeners.push_back(std::move(listener));
  }
  for (const auto& worker : state_->workers) {
    if (!worker->watch(there)) {
      return fail(ErrorCode::kIo, "the port could not be watched");
    }
  }
  return opened->port;
}

void FanOut::adopt(int fd, bool tls) {
  ::fcntl(fd, F_SETFL, ::fcntl(fd, F_GETFL) | O_NONBLOCK);
  state_->shared.place(fd, PeerAddress::of_socket(fd), tls);
}

void FanOut::on_chunk(std::string_view mount, ByteSpan chunk) {
  const std::shared_ptr<ChunkRing> ring = state_->shared.ring_of(mount);
  if (ring) {
    ring->push(chunk, state_->shared.clock.steady());
    wake();
  }
}

FanOutCounts FanOut::counts() const {
  FanOutCounts counts;
  for (const auto& worker : state_->workers) {
    worker->count(counts);
  }
  counts.turned_away = state_->shared.turned_away.load();
  return counts;
}

}  // namespace stillpoint::ntrip
