// Rovers that read everything, and the time each frame took to them.
#pragma once

#include <cstdint>
#include <deque>
#include <memory>
#include <string>
#include <vector>

#include "load/latency.h"
#include "load/requests.h"
#include "load/rover_socket.h"
#include "load/stream_check.h"

namespace stillpoint::bench {

struct Phase {
  std::string name;
  Latencies to_socket;  // until the system had it in the rover's socket
  Latencies to_reader;  // until the rover had read it
};

// epoll data of rover n is n.
class GoodRovers {
 public:
  // again: who is refused or loses the connection before its answer comes back
  // a second later
  GoodRovers(
      Target target, Origin origin, unsigned count, bool again, int epoll);

  // Connects those that are due when all come within `arrive_s`, and those that
  // come again.
  void arrive(double elapsed_s, double arrive_s, std::int64_t now_ns);
  void on_event(unsigned n, std::uint32_t events, std::int64_t now_ns);
  // What comes from here on belongs to it.
  void begin_phase(std::string name);

  [[nodiscard]] unsigned count() const { return count_; }
  // Connected, answered and not lost.
  [[nodiscard]] unsigned served() const { return served_; }
  [[nodiscard]] unsigned lost() const { return lost_; }
  [[nodiscard]] bool all_arrived() const { return served_ + lost_ == count_; }
  // Whether all that are left have this frame.
  [[nodiscard]] bool have(std::uint32_t number) const;

  // An object: rovers, bytes, whether each stream is whole, times to be served.
  std::string totals_json();
  std::string phases_json();

 private:
  struct Rover {
    RoverSocket socket;
    StreamCheck check;
    std::int64_t began_ns = 0;
    bool wants_room = true, served = false, lost = false;
  };

  void open(unsigned n);
  void lose(unsigned n);
  void set_interest(unsigned n, bool room);

  Target target_;
  Origin origin_;
  unsigned count_, served_ = 0, lost_ = 0;
  bool again_;
  int epoll_;
  std::vector<std::unique_ptr<Rover>> rovers_;
  struct Return {
    std::int64_t at_ns = 0;
    unsigned n = 0;
  };
  std::deque<Return> returns_;  // in the order of their times
  std::uint64_t came_again_ = 0;
  std::vector<Phase> phases_;
  Latencies to_answer_;
  std::vector<Stamp> stamps_;
};

}  // namespace stillpoint::bench
