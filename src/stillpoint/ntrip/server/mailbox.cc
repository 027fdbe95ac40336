#include "stillpoint/ntrip/server/mailbox.h"

#include <sys/eventfd.h>
#include <unistd.h>

#include <utility>

namespace stillpoint::ntrip {

Mailbox::Mailbox() : fd_(::eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC)) {}

Mailbox::~Mailbox() {
  for (const Arrival& arrival : mail_.arrivals) {
    ::close(arrival.fd);
  }
  if (fd_ >= 0) {
    ::close(fd_);
  }
}

void Mailbox::put(const Arrival& arrival) {
  {
    const std::lock_guard lock(mutex_);
    mail_.arrivals.push_back(arrival);
  }
  wake();
}

void Mailbox::put(const VerdictMail& verdict) {
  {
    const std::lock_guard lock(mutex_);
    mail_.verdicts.push_back(verdict);
  }
  wake();
}

void Mailbox::wake() {
  if (!awake_.exchange(true)) {
    ::eventfd_write(fd_, 1);
  }
}

void Mailbox::rest() {
  eventfd_t count = 0;
  ::eventfd_read(fd_, &count);
  awake_.store(false);
}

Mail Mailbox::take() {
  const std::lock_guard lock(mutex_);
  return std::exchange(mail_, {});
}

}  // namespace stillpoint::ntrip
