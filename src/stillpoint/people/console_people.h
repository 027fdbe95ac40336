// Who may use the console: the first claim of the station, people with their
// roles, their passwords, their sessions. Secrets never leave here but once,
// to the one who was given them.
#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/store/store.h"

namespace stillpoint::people {

// A code that lets its holder become the station's owner, once, within an hour.
// 64 random bits, in the alphabet of stream tokens, groups with hyphens. Who
// can read the state folder can read it, and nobody else. It ends with a clock
// that is set back by an hour or more, too: then open another.
struct ClaimCode {
  std::string word;
  GnssTime ends;
};
inline constexpr double kClaimHoldsS = 3600;

// Makes a new code, in place of one that is there: the word into `path` (one
// line, mode 0600, synced), then its hash and its end into station.db. It may
// be opened on a claimed station too, for an owner who has lost the password.
//
//   errors   kIo; the code that was there may then be of no use
Result<ClaimCode> open_claim(Store& store,
                             const std::string& path,
                             const ChangeNote& note);

struct Session {
  std::string name;  // of the person
  Role role = Role::kGuest;
  std::string csrf;  // to be repeated in a header with every change
  GnssTime ends;
};
// Whether this is the session's csrf; takes the same time wherever it differs.
bool is_csrf(const Session& session, std::string_view given);

struct NewSession {
  Session session;
  std::string secret;  // for the cookie, this once: 43 of A-Z a-z 0-9 - _
};
inline constexpr double kSessionHoldsS = 30 * 86'400.0;
inline constexpr double kSessionIdleS = 12 * 3600.0;

enum class Refusal : std::uint8_t {
  kWrong,           // code, name or password
  kTooSoon,         // too many were wrong: wait
  kAlreadyClaimed,  // by somebody else, meanwhile
  kNotOpen,         // no code holds at present
  kBadPassword,     // a new password that cannot be taken
  kBadName,
};
struct Refused {
  Refusal why = Refusal::kWrong;
  double wait_s = 0;  // of kTooSoon
  std::string what;   // of kBadPassword and kBadName
};

// Everything that a login needs. Wrong attempts cost time: from an address
// three are free, the fourth is followed by a wait of a second, each further
// one by twice the wait before it, up to an hour, forgotten after a quiet day.
// After 20 within a minute from all addresses together everybody waits until
// the first of them is a minute old, but not those with a session. Who has to
// wait is refused before anything is looked up or hashed, and a refusal takes
// the same time whether the name exists or not.
//
// What is refused goes to the logbook, ten entries an hour of a kind at most;
// the rest is counted, and the count entered by the first call after the hour.
//
//   now      wall clock, for ends of codes and sessions
//   steady   for waiting
//   threads  one at a time; claim() and login() take the time of a slow hash
class ConsolePeople {
 public:
  using Steady = std::chrono::nanoseconds;

  // `store` outlives it.
  ConsolePeople(Store& store, std::string claim_path);
  ~ConsolePeople();

  // Somebody has a password and the role of owner.
  [[nodiscard]] Result<bool> claimed() const;
  // A code holds at present.
  [[nodiscard]] Result<bool> claim_open(GnssTime now) const;

  // The first to bring the right code becomes an owner and is logged in; the
  // code is gone with it, and its file. A second claim is refused and logged.
  // An owner of that name gets the new password, and the old sessions end; the
  // name of any other account is refused. The code stays where only the name or
  // the password cannot be.
  //
  //   error of the inner one   why not
  Result<tl::expected<NewSession, Refused>> claim(std::string_view code,
                                                  std::string_view name,
                                                  std::string_view password,
                                                  std::string_view address,
                                                  GnssTime now,
                                                  Steady steady);
  Result<tl::expected<NewSession, Refused>> login(std::string_view name,
                                                  std::string_view password,
                                                  std::string_view address,
                                                  GnssTime now,
                                                  Steady steady);
  // The session of a cookie; nothing where it has ended (12 hours without use,
  // 30 days in all), its person is gone, disabled or has no role any more.
  // Where the clock was set back by more than a day since it was made or last
  // used, it does not hold. Its use is written down once a minute at most; a
  // disk that refuses that keeps nobody out.
  Result<std::optional<Session>> session(std::string_view secret, GnssTime now);
  Status logout(std::string_view secret, GnssTime now);
  // All sessions of the person end but the one of `secret`. Where that one does
  // not hold, the answer is kWrong.
  Result<std::optional<Refused>> change_password(std::string_view secret,
                                                 std::string_view old_password,
                                                 std::string_view new_password,
                                                 std::string_view address,
                                                 GnssTime now,
                                                 Steady steady);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::people
