#include "stillpoint/station/service_notify.h"

#include <systemd/sd-daemon.h>

#include <cstdint>

namespace stillpoint::station {
namespace {

void tell(const std::string& text) {
  sd_notify(0, text.c_str());  // harmless where nobody listens
}

}  // namespace

ServiceNotify::ServiceNotify() {
  std::uint64_t limit_us = 0;
  if (sd_watchdog_enabled(0, &limit_us) > 0) {
    // Half of the limit, as the manual advises.
    alive_every_ = std::chrono::microseconds{limit_us / 2};
  }
}

void ServiceNotify::ready(const std::string& status) const {
  tell("READY=1\nSTATUS=" + status);
}

void ServiceNotify::reloading() const {
  tell("RELOADING=1");
}

void ServiceNotify::alive() const {
  tell("WATCHDOG=1");
}

void ServiceNotify::stopping(const std::string& status) const {
  tell("STOPPING=1\nSTATUS=" + status);
}

}  // namespace stillpoint::station
