#include "stillpoint/people/attendance.h"

#include <algorithm>

namespace stillpoint::people {
namespace {

constexpr std::chrono::nanoseconds kHour = std::chrono::hours{1};

void leave(std::map<std::string, std::size_t>& counts,
           const std::string& name) {
  const auto found = counts.find(name);
  if (found != counts.end() && --found->second == 0) {
    counts.erase(found);
  }
}

}  // namespace

void HourBytes::add(std::uint64_t bytes, Time now) {
  const std::int64_t hour = now / kHour;
  if (hour > hour_) {
    hour_before_ = hour == hour_ + 1 ? this_hour_ : 0;
    this_hour_ = 0;
    hour_ = hour;
  }
  this_hour_ += bytes;
}

std::uint64_t HourBytes::used(Time now) const {
  HourBytes moved = *this;
  moved.add(0, now);
  const double share = 1 - static_cast<double>((now % kHour).count()) /
                               static_cast<double>(kHour.count());
  return moved.this_hour_ +
         static_cast<std::uint64_t>(static_cast<double>(moved.hour_before_) *
                                    share);
}

Attendance::Place Attendance::admit(const Guest& guest, Time now) {
  sweep(now);
  const std::string mount(guest.mount), user(guest.user);
  const auto there = at_mount_.find(mount);
  if (guest.most_at_mount &&
      (there == at_mount_.end() ? 0 : there->second) >= *guest.most_at_mount) {
    return {Seat::kMountFull, 0};
  }
  Place place;
  if (!user.empty()) {
    const auto found = accounts_.find(user);
    const Account account =
        found == accounts_.end() ? Account{} : found->second;
    if (guest.most_connections &&
        account.connections >= *guest.most_connections) {
      return {Seat::kUserFull, 0};
    }
    if (guest.most_bytes_an_hour) {
      const std::uint64_t used = account.bytes.used(now);
      if (used >= *guest.most_bytes_an_hour) {
        return {Seat::kBytesUsedUp, 0};
      }
      place.remaining_bytes = *guest.most_bytes_an_hour - used;
    }
    Account& kept = accounts_[user];
    ++kept.connections;
    kept.most_bytes_an_hour = guest.most_bytes_an_hour;
    kept.welcome = true;
  }
  ++at_mount_[mount];
  ++kept_places_[{user, mount}];
  return place;
}

bool Attendance::take_kept_place(const Key& key) {
  const auto found = kept_places_.find(key);
  if (found == kept_places_.end()) {
    return false;
  }
  if (--found->second == 0) {
    kept_places_.erase(found);
  }
  return true;
}

void Attendance::came(SessionId session,
                      std::string_view user,
                      std::string_view mount) {
  Session row{std::string(user), std::string(mount), 0};
  if (!take_kept_place({row.user, row.mount})) {
    // Whatever name it gave, an open mountpoint let it in as nobody.
    row.user.clear();
    if (!take_kept_place({row.user, row.mount})) {
      ++at_mount_[row.mount];
    }
  }
  sessions_.insert_or_assign(session, std::move(row));
}

std::optional<std::uint64_t> Attendance::progress(SessionId session,
                                                  std::uint64_t sent_bytes,
                                                  Time now) {
  constexpr std::uint64_t kNoMore = 1;  // 0 would say that there is no limit
  const auto found = sessions_.find(session);
  if (found == sessions_.end() || found->second.user.empty()) {
    return std::nullopt;
  }
  Session& row = found->second;
  Account& account = accounts_[row.user];
  if (sent_bytes > row.sent_bytes) {
    account.bytes.add(sent_bytes - row.sent_bytes, now);
    row.sent_bytes = sent_bytes;
  }
  if (!account.welcome) {
    return kNoMore;
  }
  if (!account.most_bytes_an_hour) {
    return std::nullopt;
  }
  const std::uint64_t used = account.bytes.used(now);
  const std::uint64_t most = *account.most_bytes_an_hour;
  return std::max(kNoMore, row.sent_bytes + (most > used ? most - used : 0));
}

std::vector<std::string> Attendance::present() const {
  std::vector<std::string> names;
  for (const auto& [name, account] : accounts_) {
    if (account.connections > 0) {
      names.push_back(name);
    }
  }
  return names;
}

void Attendance::renew(const std::string& user,
                       bool welcome,
                       std::optional<std::uint64_t> most_bytes_an_hour) {
  const auto found = accounts_.find(user);
  if (found != accounts_.end()) {
    found->second.welcome = welcome;
    found->second.most_bytes_an_hour = most_bytes_an_hour;
  }
}

void Attendance::went(SessionId session, std::uint64_t sent_bytes, Time now) {
  progress(session, sent_bytes, now);
  const auto found = sessions_.find(session);
  if (found == sessions_.end()) {
    return;
  }
  const Session& row = found->second;
  leave(at_mount_, row.mount);
  const auto account = accounts_.find(row.user);
  if (account != accounts_.end()) {
    --account->second.connections;
  }
  sessions_.erase(found);
}

// Forgets, once an hour, the accounts of which nothing is left to count.
void Attendance::sweep(Time now) {
  if (now < swept_ + kHour) {
    return;
  }
  swept_ = now;
  std::erase_if(accounts_, [now](const auto& row) {
    return row.second.connections == 0 && row.second.bytes.used(now) == 0;
  });
}

}  // namespace stillpoint::people
