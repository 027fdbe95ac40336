// The options of `rovers`, read and checked.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::app {

enum class RoversAction : std::uint8_t {
  kList,
  kAdd,
  kRemove,
  kEnable,
  kDisable,
  kNewToken,
};

struct RoversArgs {
  std::string config;
  RoversAction action = RoversAction::kList;
  std::string name;  // of the account; empty for kList
  // Of a new person; "-": standard input. Nothing: a token is made.
  std::optional<std::string> password_file;
  // 0: no limit; nothing: as it is, for a new account no limit.
  std::optional<std::int64_t> most, mb_per_hour;
  bool help = false;
};

//   errors   kUsage with the option, what is allowed and the remedy
Result<RoversArgs> parse_rovers(const std::vector<std::string>& words);

// The one line of a password file, "-" being standard input.
//
//   errors   kIo; kTooLarge, and kOutOfRange as people::check_new_password()
Result<std::string> read_new_password(const std::string& file);

}  // namespace stillpoint::app
