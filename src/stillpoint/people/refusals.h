// Claims and sign-ins that were refused, as entries of the logbook. An entry
// that the disk refuses is left out: the refusal itself must not wait for it.
// Internal; one at a time.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/people/refusal_log.h"
#include "stillpoint/store/store.h"

namespace stillpoint::people {

class Refusals {
 public:
  explicit Refusals(Store& store) : store_(&store) {}

  void claim(const std::string& reason, std::string_view address, GnssTime now);
  // `what`: "a sign-in". `user`: an account's name; empty where there is none
  // of the name that was given, which may be a password in the wrong field.
  void login(const std::string& what,
             const std::string& user,
             std::string_view address,
             GnssTime now);
  // Of those who had to wait; they are counted only.
  void claim_held(GnssTime now) { claims_.leave_out(now); }
  void login_held(GnssTime now) { logins_.leave_out(now); }

  // Enters the counts of hours that are over.
  void tell_left_out(GnssTime now);

 private:
  void enter(const LogEntry& entry);

  Store* store_;
  RefusalLog claims_, logins_;
};

}  // namespace stillpoint::people
