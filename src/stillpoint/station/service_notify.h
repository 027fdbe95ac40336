// What the service manager is told, where there is one: ready, still alive,
// about to end.
//
//   source   sd_notify(3), sd_watchdog_enabled(3) of libsystemd
#pragma once

#include <chrono>
#include <optional>
#include <string>

namespace stillpoint::station {

class ServiceNotify {
 public:
  // Reads what the manager asks for, once.
  ServiceNotify();

  // How often it wants to hear alive(); nothing where it does not.
  [[nodiscard]] std::optional<std::chrono::nanoseconds> alive_every() const {
    return alive_every_;
  }

  void ready(const std::string& status) const;
  void reloading() const;  // then ready() again
  void alive() const;
  void stopping(const std::string& status) const;

 private:
  std::optional<std::chrono::nanoseconds> alive_every_;
};

}  // namespace stillpoint::station
