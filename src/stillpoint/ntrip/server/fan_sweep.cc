// The part of a worker that looks at every rover now and then: deadlines,
// limits, the end of a session, and what is counted.
#include <algorithm>
#include <utility>

#include "stillpoint/ntrip/server/fan_worker.h"

namespace stillpoint::ntrip {
namespace {

constexpr std::chrono::seconds kPardon{10};  // what was heard is forgotten

}  // namespace

void FanWorker::sweep() {
  last_sweep_ = now_;
  for (ListenSocket* listener : std::exchange(tired_, {})) {
    if (!watch(*listener)) {
      tired_.push_back(listener);
    }
  }
  const bool pardon = now_ - last_pardon_ >= kPardon;
  if (pardon) {
    last_pardon_ = now_;
  }
  // Backwards: a removed one's place is taken by one already looked at.
  for (std::size_t i = rovers_.size(); i-- > 0;) {
    Rover& rover = *rovers_[i];
    rover.heard = pardon ? 0 : rover.heard;
    look_at(rover);
  }
}

void FanWorker::look_at(Rover& rover) {
  if (rover.state == State::kStream) {
    if (!within_limits(rover)) {
      return;
    }
    if (now_ >= rover.until ||
        (rover.most_bytes > 0 &&
         rover.position - rover.joined >= rover.most_bytes)) {
      say_end(rover);
      return remove(rover, Departure::kLimit);
    }
    if (now_ >= rover.progress_due) {
      rover.progress_due = now_ + options_.progress_every;
      rover.most_bytes = shared_.ledger.on_progress(rover.id, account_of(rover))
                             .value_or(rover.most_bytes);
    }
    return;
  }
  if (now_ < rover.deadline) {
    return;
  }
  switch (rover.state) {
    case State::kRequest:
      refuse(rover, 408);
      break;
    case State::kAsking:
      refuse(rover, 503);
      break;
    case State::kLinger:
      remove(rover, Departure::kClosed);
      break;
    default:  // its handshake or its answer is not taken
      remove(rover, Departure::kSlow);
      break;
  }
}

SessionAccount FanWorker::account_of(const Rover& rover) const {
  SessionAccount account;
  account.wire_bytes = rover.wire_bytes;
  if (rover.state == State::kStream) {
    account.sent_bytes = rover.position - rover.joined;
    account.unsent_bytes = rover.lane->end.offset - rover.position;
  }
  if (rover.gga) {
    account.gga = rover.gga->last();
  }
  return account;
}

void FanWorker::remove(Rover& rover, Departure why) {
  if (rover.state == State::kAsking) {
    asking_[rover.id].rover = nullptr;
  }
  if (rover.told) {
    --tally_.rovers;
    ++tally_.departures[static_cast<std::size_t>(why)];
    const SessionAccount account = account_of(rover);
    tally_.unsent_bytes += account.unsent_bytes;
    shared_.ledger.on_disconnect(rover.id, why, account);
  }
  if (rover.state == State::kStream) {
    leave(rover);
  }
  if (rover.holds_place) {
    shared_.places.fetch_sub(1);
  }
  // What a cut rover has not taken is of no use to it later.
  rover.wire.close(why != Departure::kClosed && why != Departure::kShutdown &&
                   why != Departure::kLimit);
  shared_.door.leave(rover.peer);
  shared_.load[number_]->fetch_sub(1);
  const std::size_t index = rover.index;
  std::swap(rovers_[index], rovers_.back());
  rovers_[index]->index = index;
  rovers_.pop_back();
}

void FanWorker::publish_tally() {
  constexpr auto kRelaxed = std::memory_order_relaxed;
  shown_.connections.store(rovers_.size(), kRelaxed);
  shown_.rovers.store(tally_.rovers, kRelaxed);
  shown_.arrived.store(tally_.arrived, kRelaxed);
  shown_.refused.store(tally_.refused, kRelaxed);
  shown_.sessions.store(tally_.sessions, kRelaxed);
  shown_.chunks.store(tally_.chunks, kRelaxed);
  shown_.wire_bytes.store(tally_.wire_bytes, kRelaxed);
  shown_.offered_bytes.store(tally_.offered_bytes, kRelaxed);
  shown_.sent_bytes.store(tally_.sent_bytes, kRelaxed);
  shown_.unsent_bytes.store(tally_.unsent_bytes, kRelaxed);
  for (std::size_t i = 0; i < kDepartures; ++i) {
    shown_.departures[i].store(tally_.departures[i], kRelaxed);
  }
}

void FanWorker::count(FanOutCounts& counts) const {
  counts.connections += shown_.connections;
  counts.rovers += shown_.rovers;
  counts.arrived += shown_.arrived;
  counts.refused += shown_.refused;
  counts.sessions += shown_.sessions;
  counts.chunks += shown_.chunks;
  counts.wire_bytes += shown_.wire_bytes;
  counts.offered_bytes += shown_.offered_bytes;
  counts.sent_bytes += shown_.sent_bytes;
  counts.unsent_bytes += shown_.unsent_bytes;
  for (std::size_t i = 0; i < kDepartures; ++i) {
    counts.departures[i] += shown_.departures[i];
  }
}

}  // namespace stillpoint::ntrip
