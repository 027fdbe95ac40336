// The accounts of rovers, as the caster's door asks for them: read from
// station.db at each question, so that a change counts at once.
#pragma once

#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/store/store.h"

namespace stillpoint::station {

//   threads  any
class UserTable {
 public:
  explicit UserTable(std::string database) : database_(std::move(database)) {}

  //   errors   as Store::open() and Users::find(); the next call tries again
  Result<std::optional<User>> find(std::string_view name);
  // Whether any account has a stream's token; nothing where nobody can tell.
  std::optional<bool> has_tokens();

 private:
  // Under the lock.
  Result<Users*> users();

  const std::string database_;
  std::mutex mutex_;
  std::optional<Store> store_;
};

}  // namespace stillpoint::station
