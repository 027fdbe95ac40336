// What `rovers` does to the accounts of a station.
#pragma once

#include <string>

#include "stillpoint/app/rovers_args.h"
#include "stillpoint/core/result.h"
#include "stillpoint/store/store.h"

namespace stillpoint::app {

struct RoversChange {
  const char* what = "";    // "added", …; "unchanged"; empty for a list
  std::string token;        // of a stream that got one: shown this once
  bool key_is_new = false;  // the key of all tokens was made just now
};

// The folder that a station keeps its accounts in.
struct RoversPlace {
  std::string config;  // for remedies
  std::string state;   // must exist

  [[nodiscard]] std::string database() const { return state + "/station.db"; }
  [[nodiscard]] std::string key() const { return state + "/keys/stream.key"; }
};

//   password  of a new person; empty for a stream
//   errors    kUsage for a name that is taken, and for a token of a person;
//             kNoData for a name that does not exist; as Users, people::
//             open_server_key() and hash_password()
Result<RoversChange> change_rovers(const RoversArgs& args,
                                   const std::string& password,
                                   const RoversPlace& place,
                                   Users& users);

}  // namespace stillpoint::app
