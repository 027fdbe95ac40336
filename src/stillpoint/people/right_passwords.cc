#include "stillpoint/people/right_passwords.h"

#include <algorithm>

namespace stillpoint::people {

Digest RightPasswords::digest(std::string_view user,
                              std::string_view secret_hash,
                              std::string_view password) const {
  return keyed_hash(key_,
                    {"stillpoint right password", user, secret_hash, password});
}

bool RightPasswords::holds(std::string_view user,
                           const Digest& digest,
                           Time now) const {
  const auto found = rows_.find(user);
  return found != rows_.end() && now < found->second.since + kKept &&
         same_digest(found->second.digest, digest);
}

void RightPasswords::remember(std::string_view user,
                              const Digest& digest,
                              Time now) {
  if (rows_.size() >= kMost && rows_.find(user) == rows_.end()) {
    rows_.erase(std::min_element(
        rows_.begin(), rows_.end(), [](const auto& a, const auto& b) {
          return a.second.since < b.second.since;
        }));
  }
  rows_.insert_or_assign(std::string(user), Row{digest, now});
}

}  // namespace stillpoint::people
