// Between the caster and the accounts: asks people::Door on threads of its own,
// so that no worker of the fan-out ever waits for a disk or a slow hash, and
// tells who came and went.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "stillpoint/core/log.h"
#include "stillpoint/ntrip/server/ledger.h"
#include "stillpoint/people/door.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/worker.h"

namespace stillpoint::station {

class CasterDoor final : public ntrip::Ledger {
 public:
  // Questions that wait; beyond it the answer is "too many". Those of slow
  // hashes are few: behind 32 of them a rover would wait for seconds.
  static constexpr std::size_t kMostQuestions = 20'000;
  static constexpr std::size_t kMostSlow = 32;

  // All outlive it.
  CasterDoor(people::Door& door,
             Clocks clocks,
             Chronicle& chronicle,
             Logger log);

  // The work of two threads, until stop(): questions, and slow hashes.
  void run_questions();
  void run_hashes();
  void stop();

  void ask(const ntrip::LedgerQuestion& question, Answer answer) override;
  void on_connect(const ntrip::SessionFacts& facts) override;
  std::optional<std::uint64_t> on_progress(
      ntrip::SessionId session, const ntrip::SessionAccount& account) override;
  void on_disconnect(ntrip::SessionId session,
                     ntrip::Departure why,
                     const ntrip::SessionAccount& account) override;

  struct Present {
    ntrip::SessionFacts facts;
    GnssTime since;
    std::uint64_t sent_bytes = 0;  // some seconds old
  };
  // Who is connected, those that came first in front; at most `most`.
  [[nodiscard]] std::vector<Present> present(std::size_t most) const;
  // Rovers at present, by mountpoint.
  [[nodiscard]] std::map<std::string, std::uint64_t> at_mounts() const;
  [[nodiscard]] const Heartbeat& questions_heart() const { return asked_beat_; }
  [[nodiscard]] const Heartbeat& hashes_heart() const { return hashed_beat_; }

 private:
  struct Waiting {
    ntrip::LedgerQuestion question;
    Answer answer;
  };
  class Line {
   public:
    explicit Line(std::size_t most) : most_(most) {}
    // Gives it back where too many wait.
    std::optional<Waiting> push(Waiting waiting);
    // The next; nothing after a second, or at the end.
    std::optional<Waiting> pop();
    void close();
    [[nodiscard]] bool closed() const;

   private:
    const std::size_t most_;
    mutable std::mutex mutex_;
    std::condition_variable filled_;
    std::deque<Waiting> waiting_;
    bool closed_ = false;
  };

  void renew();
  void answer(Waiting& waiting, const people::Decision& decision);

  people::Door& door_;
  const Clocks clocks_;
  Chronicle& chronicle_;
  const Logger log_;
  Heartbeat asked_beat_, hashed_beat_;
  Line questions_{kMostQuestions}, slow_{kMostSlow};
  std::chrono::nanoseconds renewed_at_{0};  // of the questions' thread
  mutable std::mutex mutex_;
  std::unordered_map<ntrip::SessionId, Present> sessions_;
};

}  // namespace stillpoint::station
