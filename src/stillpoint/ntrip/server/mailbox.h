// What others leave for one worker: sockets, verdicts, and a reason to look up.
#pragma once

#include <atomic>
#include <cstdint>
#include <mutex>
#include <vector>

#include "stillpoint/ntrip/server/ledger.h"
#include "stillpoint/ntrip/server/peer_address.h"

namespace stillpoint::ntrip {

struct Arrival {
  int fd = -1;
  PeerAddress peer;
  bool tls = false;
  bool over_limit = false;
};

struct VerdictMail {
  SessionId session = 0;
  Verdict verdict;
};

struct Mail {
  std::vector<Arrival> arrivals;
  std::vector<VerdictMail> verdicts;
};

//   threads  any for put() and wake(), the worker for the rest; the lock is a
//            leaf
class Mailbox {
 public:
  Mailbox();
  ~Mailbox();  // closes sockets that nobody took
  Mailbox(const Mailbox&) = delete;
  Mailbox& operator=(const Mailbox&) = delete;

  // An eventfd, readable when there is a reason to look; -1 where the system
  // had none left.
  [[nodiscard]] int fd() const { return fd_; }

  void put(const Arrival& arrival);
  void put(const VerdictMail& verdict);
  void wake();

  // Makes fd() quiet until the next wake(). Before looking at what may have
  // changed, not after.
  void rest();
  Mail take();

 private:
  const int fd_;
  std::atomic<bool> awake_ = false;
  std::mutex mutex_;
  Mail mail_;  // mutex_
};

}  // namespace stillpoint::ntrip
