// How many connections there are, in all and from each address.
#pragma once

#include <atomic>
#include <cstddef>
#include <map>
#include <mutex>

#include "stillpoint/ntrip/server/peer_address.h"

namespace stillpoint::ntrip {

enum class Entry : std::uint8_t {
  kOpen,
  kOverAddress,  // too many from there: it is told so (503)
  kFull,         // not let in at all
};

//   threads  any; its lock is a leaf
class Doorkeeper {
 public:
  Doorkeeper(std::size_t most, std::size_t most_per_address)
      : most_(most), most_per_address_(most_per_address) {}

  // Who is inside stays; takes no lock.
  void set_limits(std::size_t most, std::size_t most_per_address) {
    most_.store(most);
    most_per_address_.store(most_per_address);
  }

  // All but kFull are counted until leave().
  Entry enter(const PeerAddress& peer) {
    const std::lock_guard lock(mutex_);
    if (all_ >= most_.load()) {
      return Entry::kFull;
    }
    ++all_;
    return ++here_[peer.group()] > most_per_address_.load()
               ? Entry::kOverAddress
               : Entry::kOpen;
  }

  void leave(const PeerAddress& peer) {
    const std::lock_guard lock(mutex_);
    --all_;
    const auto found = here_.find(peer.group());
    if (--found->second == 0) {
      here_.erase(found);
    }
  }

 private:
  std::atomic<std::size_t> most_, most_per_address_;
  std::mutex mutex_;
  std::size_t all_ = 0;                      // mutex_
  std::map<PeerAddress, std::size_t> here_;  // mutex_
};

}  // namespace stillpoint::ntrip
