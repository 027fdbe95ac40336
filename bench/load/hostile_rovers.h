// Peers that mean no good, or cannot help it.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "load/requests.h"
#include "load/rover_socket.h"
#include "load/stream_check.h"

namespace stillpoint::bench {

enum class Malice : std::uint8_t {
  kFrozen,   // asks for the stream and never reads
  kGarbage,  // sends what is no request
  kDrip,     // a request, one byte a second
  kEndless,  // headers without end, as fast as they are taken
};

std::optional<Malice> malice_of(const std::string& name);

struct HostileOptions {
  Malice malice = Malice::kFrozen;
  unsigned count = 500;
  Target target;
  Origin origin;
  bool again = false;  // comes back a second after it was thrown out
};

// epoll data of rover n is n.
class HostileRovers {
 public:
  HostileRovers(HostileOptions options, int epoll);

  void on_event(unsigned n, std::uint32_t events, std::int64_t now_ns);
  // Connects, drips; ten times a second or so.
  void tick(std::int64_t now_ns);
  // The frozen ones read what the system still has for them.
  void finish();

  // Whether each is connected and has said what is to be said first, or was
  // thrown out for good.
  [[nodiscard]] bool all_settled() const {
    return in_place_ + over_ == options_.count;
  }
  std::string totals_json() const;

 private:
  struct Rover {
    RoverSocket socket;
    StreamCheck check;
    std::int64_t next_ns = 0;  // of its next act
    std::size_t dripped = 0;
    unsigned life = 0;
    bool placed = false, over = false;
  };

  void open(unsigned n, std::int64_t now_ns);
  void end(unsigned n, std::int64_t now_ns);
  void read_all(Rover& rover);
  void set_interest(unsigned n, bool first);
  std::string opening_of(unsigned n);
  std::string garbage();

  HostileOptions options_;
  int epoll_;
  std::mt19937_64 random_{20261125};
  std::vector<std::unique_ptr<Rover>> rovers_;
  std::vector<Stamp> stamps_;
  unsigned in_place_ = 0, over_ = 0;
  std::uint64_t connections_ = 0, failed_ = 0, ended_ = 0, body_bytes_ = 0,
                wire_bytes_ = 0, sent_bytes_ = 0, streams_ = 0;
  std::map<int, std::uint64_t> statuses_;  // 0: closed without an answer
};

}  // namespace stillpoint::bench
