#include "stillpoint/station/user_table.h"

#include <algorithm>

namespace stillpoint::station {

Result<Users*> UserTable::users() {
  if (!store_) {
    auto opened = Store::open(database_);
    if (!opened) {
      return fail(std::move(opened.error()));
    }
    store_.emplace(std::move(*opened));
  }
  return &store_->users();
}

Result<std::optional<User>> UserTable::find(std::string_view name) {
  const std::lock_guard lock(mutex_);
  const auto table = users();
  if (!table) {
    return fail(table.error());
  }
  auto found = (*table)->find(name);
  if (!found) {
    store_.reset();  // a damaged or moved file is opened anew
  }
  return found;
}

std::optional<bool> UserTable::has_tokens() {
  const std::lock_guard lock(mutex_);
  const auto table = users();
  if (!table) {
    return std::nullopt;
  }
  const auto all = (*table)->list();
  if (!all) {
    return std::nullopt;
  }
  return std::any_of(all->begin(), all->end(), [](const User& user) {
    return user.kind == UserKind::kStream;
  });
}

}  // namespace stillpoint::station
