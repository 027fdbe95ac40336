// Who may have which stream, and what became of it. The caster knows nothing of
// users, hashes or tables; whoever implements this does.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "stillpoint/ntrip/request.h"

namespace stillpoint::ntrip {

struct LedgerQuestion {
  std::string mount;
  std::string user, password;  // both empty: no credentials came
  std::string address;         // numeric, without port
};

enum class Admission : std::uint8_t {
  kAllowed,
  kWrongLogin,  // unknown user and wrong password alike: 401
  kForbidden,   // known, but not for this mountpoint: 403
  kTooMany,     // 503
};

struct Verdict {
  Admission admission = Admission::kForbidden;
  // What the session may have before it is cut (Departure::kLimit); 0 no limit.
  std::uint64_t most_bytes = 0;
  std::chrono::nanoseconds most_time{0};
};

// Numbers one connection for as long as the caster lives.
using SessionId = std::uint64_t;

struct SessionFacts {
  SessionId session = 0;
  std::string mount, user, address;
  std::string user_agent;  // printable, cut; may be empty
  Version version = Version::k1;
  bool tls = false;
};

// Why a session ended.  stored; never renumber
enum class Departure : std::uint8_t {
  kClosed = 0,    // by the rover
  kError = 1,     // the system lost the connection
  kSlow = 2,      // took no byte for the write deadline
  kTooOld = 3,    // its next chunk was older than the age limit
  kBudget = 4,    // more bytes waited for it than the lag limit
  kFlood = 5,     // sent more than a rover has to say
  kLimit = 6,     // the verdict's limits
  kShutdown = 7,  // the caster stopped
};
inline constexpr std::size_t kDepartures = 8;

// Of one session: of all bytes published while it lasted, `sent_bytes` were
// handed to the system and `unsent_bytes` were not; nothing was left out in
// between.
struct SessionAccount {
  std::uint64_t sent_bytes = 0, unsent_bytes = 0;  // of the stream itself
  std::uint64_t wire_bytes = 0;  // with the head and chunk framing, before TLS
  std::string gga;               // the last position it told; may be empty
};

//   threads  every call may come from any worker, and at the same time
class Ledger {
 public:
  virtual ~Ledger() = default;

  using Answer = std::function<void(const Verdict&)>;

  // May this one connect? `answer` is called once, from any thread, at once or
  // later: slow hashes do not belong into this call, which holds up a worker.
  // Every kAllowed is followed by one on_connect and one on_disconnect, even
  // where the rover did not wait; answers after the caster's end are dropped.
  virtual void ask(const LedgerQuestion& question, Answer answer) = 0;
  virtual void on_connect(const SessionFacts& facts) = 0;
  // From time to time while it lasts.
  //
  //   returns  what the session may have had in all, in place of the verdict's
  //            most_bytes (0: no limit); nothing: that stays
  virtual std::optional<std::uint64_t> on_progress(
      SessionId session, const SessionAccount& account) = 0;
  virtual void on_disconnect(SessionId session,
                             Departure why,
                             const SessionAccount& account) = 0;
};

// "closed", "too old", …
const char* departure_name(Departure why);

}  // namespace stillpoint::ntrip
