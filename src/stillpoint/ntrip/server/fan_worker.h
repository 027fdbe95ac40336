// One thread's share of the rovers: an epoll loop.
#pragma once

#include <sys/epoll.h>

#include <array>
#include <atomic>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include "stillpoint/ntrip/server/fan_shared.h"
#include "stillpoint/ntrip/server/rover.h"
#include "stillpoint/ntrip/server/rover_answer.h"

namespace stillpoint::ntrip {

//   threads  run() in one; watch() and counts() from any
class FanWorker {
 public:
  FanWorker(FanShared& shared, unsigned number);
  ~FanWorker();
  FanWorker(const FanWorker&) = delete;
  FanWorker& operator=(const FanWorker&) = delete;

  // Whether the system gave what it needs.
  [[nodiscard]] bool ready() const;
  // Takes part in accepting from here on.
  [[nodiscard]] bool watch(ListenSocket& listener) const;
  // Until FanShared::stopping is set and the mailbox woken.
  void run();
  // Adds its own.
  void count(FanOutCounts& counts) const;

 private:
  using State = Rover::State;

  // Whoever waits for a verdict; without a rover it has left.
  struct Question {
    Rover* rover = nullptr;
    SessionFacts facts;
  };

  // fan_worker.cc: the loop, and who is there
  void turn();
  void accept_from(ListenSocket& listener);
  void take_mail();
  void adopt(const Arrival& arrival);
  void on_rover(Rover& rover, std::uint32_t events);
  bool read_from(Rover& rover);
  bool take(Rover& rover, ByteSpan bytes);
  bool listen_to(Rover& rover, ByteSpan bytes);
  void set_interest(Rover& rover, bool for_room) const;
  void block(Rover& rover);
  void unblock(Rover& rover);
  void take_limits();
  void sweep();
  void look_at(Rover& rover);
  void publish_tally();
  void remove(Rover& rover, Departure why);
  [[nodiscard]] SessionAccount account_of(const Rover& rover) const;

  // rover_opening.cc: from the first byte to the answer
  bool begin(Rover& rover);
  bool on_request(Rover& rover);
  bool ask(Rover& rover);
  void on_verdict(const VerdictMail& mail);
  void on_allowed(Rover& rover,
                  const Question& question,
                  const Verdict& verdict);
  bool give_table(Rover& rover);
  bool refuse(Rover& rover, int status);
  bool answer(Rover& rover, std::string head, SharedText body, bool stream);
  bool write_answer(Rover& rover);
  [[nodiscard]] AnswerStyle style() const;

  // rover_stream.cc: chunks
  void join(Rover& rover);
  void leave(Rover& rover);
  [[nodiscard]] bool chunk_waits() const;
  void serve_all();
  void serve(Lane& lane);
  bool pump(Rover& rover);
  void advance(Rover& rover, std::size_t bytes);
  bool within_limits(Rover& rover);
  void say_end(Rover& rover);

  FanShared& shared_;
  const unsigned number_;
  Mailbox& mailbox_;
  FanOutOptions options_;  // its limits as of limits_version_
  std::uint64_t limits_version_ = 0;
  const int epoll_;
  Watched mailbox_mark_{Watched::Kind::kMailbox};
  std::chrono::nanoseconds now_{0}, last_sweep_{0}, last_pardon_{0};
  std::vector<ListenSocket*> tired_;  // no descriptors left for the moment
  std::vector<std::unique_ptr<Rover>> rovers_;
  std::unordered_map<SessionId, Question> asking_;
  std::map<std::string, std::unique_ptr<Lane>, std::less<>> lanes_;
  std::array<std::uint8_t, 4096> room_{};
  std::vector<ChunkPointer> fetched_;

  // Plain while a turn lasts, then stored for others to read.
  FanOutCounts tally_;
  struct Shown {
    std::atomic<std::uint64_t> connections, rovers, arrived, refused, sessions,
        chunks, wire_bytes, offered_bytes, sent_bytes, unsent_bytes;
    std::array<std::atomic<std::uint64_t>, kDepartures> departures;
  };
  Shown shown_{};
};

}  // namespace stillpoint::ntrip
