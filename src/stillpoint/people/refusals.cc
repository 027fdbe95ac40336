#include "stillpoint/people/refusals.h"

namespace stillpoint::people {

void Refusals::enter(const LogEntry& entry) {
  const auto ignored = store_->logbook().append(entry);
  static_cast<void>(ignored);
}

void Refusals::claim(const std::string& reason,
                     std::string_view address,
                     GnssTime now) {
  if (claims_.admit(now)) {
    enter({now,
           LogKind::kClaimRefused,
           "a claim of the station was refused: " + reason,
           {{"reason", reason},
            {"address", std::string(address)},
            {"count", std::int64_t{1}}}});
  }
}

void Refusals::login(const std::string& what,
                     const std::string& user,
                     std::string_view address,
                     GnssTime now) {
  if (!logins_.admit(now)) {
    return;
  }
  LogEntry entry{
      now,
      LogKind::kSignInRefused,
      what + " was refused",
      {{"address", std::string(address)}, {"count", std::int64_t{1}}}};
  if (!user.empty()) {
    entry.details.push_back({"user", user});
  }
  enter(entry);
}

void Refusals::tell_left_out(GnssTime now) {
  if (const auto count = claims_.take_left_out(now)) {
    enter({now,
           LogKind::kClaimRefused,
           std::to_string(*count) + " more claims were refused",
           {{"reason", std::string("counted only")}, {"count", *count}}});
  }
  if (const auto count = logins_.take_left_out(now)) {
    enter({now,
           LogKind::kSignInRefused,
           std::to_string(*count) + " more sign-ins were refused",
           {{"count", *count}}});
  }
}

}  // namespace stillpoint::people
