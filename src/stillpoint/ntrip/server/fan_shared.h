// What all workers of a fan-out share.
//
// Locks, all leaves: `mutex` here, and those inside ChunkRing, Mailbox and
// Doorkeeper. Nobody holds two, nor one over I/O or a call of the Ledger.
#pragma once

#include <atomic>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/ntrip/server/chunk_ring.h"
#include "stillpoint/ntrip/server/doorkeeper.h"
#include "stillpoint/ntrip/server/fan_options.h"
#include "stillpoint/ntrip/server/mailbox.h"
#include "stillpoint/ntrip/server/server_tls.h"

namespace stillpoint::ntrip {

using SharedText = std::shared_ptr<const std::string>;
using SharedContext = std::shared_ptr<SSL_CTX>;

struct FanShared {
  FanShared(FanOutOptions chosen, ServerClock time, Ledger& book)
      : clock(std::move(time)),
        ledger(book),
        door(chosen.most_connections, chosen.most_per_address),
        options(std::move(chosen)) {}

  FanOutOptions current_options() const {
    const std::lock_guard lock(mutex);
    return options;
  }

  // Nothing where it is not served.
  std::shared_ptr<ChunkRing> ring_of(std::string_view mount) const {
    const std::lock_guard lock(mutex);
    const auto found = rings.find(mount);
    return found == rings.end() ? nullptr : found->second;
  }
  SharedText current_table() const {
    const std::lock_guard lock(mutex);
    return table;
  }
  SharedContext current_context() const {
    const std::lock_guard lock(mutex);
    return context;
  }

  const ServerClock clock;
  Ledger& ledger;
  Doorkeeper door;
  // One a worker; verdicts may outlive the fan-out.
  std::vector<std::shared_ptr<Mailbox>> mailboxes;
  std::vector<std::unique_ptr<std::atomic<std::uint64_t>>> load;  // connections

  std::atomic<bool> stopping = false;
  // Counts changes of the limits: a worker looks here, then copies `options`.
  std::atomic<std::uint64_t> limits_version = 0;
  std::atomic<std::uint64_t> places = 0;  // rovers asking or served
  std::atomic<std::uint64_t> turned_away = 0;
  std::atomic<SessionId> next_session = 1;

  // Gives the socket to the worker with the fewest; closes it where there are
  // too many.
  void place(int fd, const PeerAddress& peer, bool tls);

  mutable std::mutex mutex;  // for all below
  FanOutOptions options;
  std::map<std::string, std::shared_ptr<ChunkRing>, std::less<>> rings;
  SharedText table = std::make_shared<const std::string>("ENDSOURCETABLE\r\n");
  SharedContext context;  // nothing: no TLS
};

}  // namespace stillpoint::ntrip
