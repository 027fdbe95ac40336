#include "stillpoint/people/console_people.h"

#include <sodium.h>
#include <unistd.h>

#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/people/claim_code.h"
#include "stillpoint/people/guessing.h"
#include "stillpoint/people/refusals.h"
#include "stillpoint/people/secrets.h"
#include "stillpoint/people/session_secret.h"

namespace stillpoint::people {
namespace {

constexpr double kDayS = 86'400;
// How often the use of a session is written: a card wears out.
constexpr double kTouchS = 60;

using Outcome = tl::expected<NewSession, Refused>;

tl::unexpected<Refused> refused(Refusal why, std::string what = {}) {
  return tl::unexpected<Refused>(Refused{why, 0, std::move(what)});
}

Refused too_soon(ConsolePeople::Steady wait) {
  return {Refusal::kTooSoon, std::chrono::duration<double>(wait).count(), {}};
}

std::string words_of(const Error& error) {
  return error.remedy.empty() ? error.what : error.what + "; " + error.remedy;
}

// Nothing for a name that may be a person's.
std::optional<Refused> check_name(std::string_view name) {
  const Status good = check_user_name(name);
  if (!good) {
    return Refused{Refusal::kBadName, 0, words_of(good.error())};
  }
  if (trim(name) != name) {
    return Refused{
        Refusal::kBadName, 0, "a name begins and ends with a letter"};
  }
  return std::nullopt;
}

std::optional<Refused> check_password(std::string_view password) {
  const Status good = check_new_password(password);
  return good ? std::nullopt
              : std::optional(
                    Refused{Refusal::kBadPassword, 0, words_of(good.error())});
}

bool may_enter(const std::optional<User>& user) {
  return user && user->kind == UserKind::kPerson && user->enabled && user->role;
}

bool holds(const SessionRow& session, GnssTime now) {
  const GnssTime latest = now + Duration{kDayS};
  return now < session.ends && session.made <= latest &&
         session.last_used <= latest &&
         now - session.last_used < Duration{kSessionIdleS};
}

Arrival arrival_at(GnssTime now, std::string_view address) {
  return {std::string(address), now - Duration{kSessionIdleS}};
}

// A session as it is kept, and as its person gets it.
std::pair<SessionRow, NewSession> make_session(const std::string& name,
                                               Role role,
                                               GnssTime now) {
  std::string secret = random_word(kSessionSecretBytes);
  SessionRow row{session_hash(secret),
                 name,
                 random_word(kCsrfBytes),
                 now,
                 now,
                 now + Duration{kSessionHoldsS}};
  NewSession session{{name, role, row.csrf, row.ends}, std::move(secret)};
  return {std::move(row), std::move(session)};
}

// Whether this is the password of who may enter; the answer takes the same time
// for everybody. No password is longer than its hash was ever made from.
Result<bool> check_login(const std::optional<User>& user,
                         std::string_view password) {
  const bool person = user && user->kind == UserKind::kPerson;
  const std::string hash =
      person ? user->secret_hash : std::string(decoy_hash());
  Result<bool> right =
      verify_password(hash, password.substr(0, kMostPasswordBytes + 1));
  if (!right) {
    return right;
  }
  return *right && may_enter(user);
}

}  // namespace

bool is_csrf(const Session& session, std::string_view given) {
  return !session.csrf.empty() && given.size() == session.csrf.size() &&
         sodium_memcmp(given.data(), session.csrf.data(), given.size()) == 0;
}

struct ConsolePeople::State {
  Store& store;
  std::string claim_path;
  Guessing guessing;
  Refusals refusals;
  std::optional<GnssTime> touch_refused;

  ConsoleAccess& access() { return store.console_access(); }

  // Why no code can be taken now.
  Result<Refusal> why_not_open(const std::optional<ClaimRow>& claim) {
    const Result<bool> owner = store.users().has_owner();
    if (!owner) {
      return fail(owner.error());
    }
    return *owner && !claim ? Refusal::kAlreadyClaimed : Refusal::kNotOpen;
  }

  Result<Outcome> refuse_closed(const std::optional<ClaimRow>& claim,
                                std::string_view address,
                                GnssTime now) {
    const Result<Refusal> why = why_not_open(claim);
    if (!why) {
      return fail(why.error());
    }
    refusals.claim(*why == Refusal::kAlreadyClaimed ? "it is claimed already"
                                                    : "no code is open",
                   address,
                   now);
    return Outcome(refused(*why));
  }

  // A good code, name and password.
  Result<Outcome> take_claim(const ClaimRow& claim,
                             std::string_view name,
                             std::string_view password,
                             std::string_view address,
                             GnssTime now) {
    Result<std::string> hash = hash_password(password);
    if (!hash) {
      return fail(std::move(hash.error()));
    }
    User owner;
    owner.name = name;
    owner.secret_hash = std::move(*hash);
    owner.role = Role::kOwner;
    auto [row, session] = make_session(owner.name, Role::kOwner, now);
    const Result<bool> taken = access().take_claim(
        claim.code_hash, owner, row, arrival_at(now, address));
    if (!taken && taken.error().code == ErrorCode::kUsage) {
      return Outcome(refused(Refusal::kBadName, words_of(taken.error())));
    }
    if (!taken) {
      return fail(taken.error());
    }
    if (!*taken) {
      return refuse_closed(std::nullopt, address, now);
    }
    // What stays there opens nothing any more.
    ::unlink(claim_path.c_str());
    return Outcome(std::move(session));
  }

  // Writes that a session is used, where it is time to.
  void touch(const SessionRow& session, GnssTime now) {
    const auto near = [now](GnssTime time) {
      return now - time < Duration{kTouchS} && time - now < Duration{kTouchS};
    };
    if (near(session.last_used) || (touch_refused && near(*touch_refused))) {
      return;
    }
    const Status touched = access().touch(session.secret_hash, now);
    touch_refused = touched ? std::nullopt : std::optional(now);
  }

  // A good login is the moment to hash a password at today's costs; without
  // it the old hash goes on.
  void renew_hash(const User& user, std::string_view password, GnssTime now) {
    if (!needs_rehash(user.secret_hash)) {
      return;
    }
    Result<std::string> hash = hash_password(password);
    if (hash) {
      User renewed = user;
      renewed.secret_hash = std::move(*hash);
      const Status ignored =
          access().renew_secret(renewed, {now, "console: " + user.name});
      static_cast<void>(ignored);
    }
  }
};

ConsolePeople::ConsolePeople(Store& store, std::string claim_path)
    : state_(new State{store, std::move(claim_path), {}, Refusals(store), {}}) {
}

ConsolePeople::~ConsolePeople() = default;

Result<bool> ConsolePeople::claimed() const {
  return state_->store.users().has_owner();
}

Result<bool> ConsolePeople::claim_open(GnssTime now) const {
  const Result<std::optional<ClaimRow>> claim = state_->access().claim();
  if (!claim) {
    return fail(claim.error());
  }
  return *claim && people::holds(**claim, now);
}

Result<Outcome> ConsolePeople::claim(std::string_view code,
                                     std::string_view name,
                                     std::string_view password,
                                     std::string_view address,
                                     GnssTime now,
                                     Steady steady) {
  State& s = *state_;
  s.refusals.tell_left_out(now);
  const Steady wait = s.guessing.wait(address, steady);
  if (wait > Steady{0}) {
    s.refusals.claim_held(now);
    return Outcome(tl::unexpected<Refused>(too_soon(wait)));
  }
  const Result<std::optional<ClaimRow>> claim = s.access().claim();
  if (!claim) {
    return fail(claim.error());
  }
  if (!*claim || !people::holds(**claim, now)) {
    return s.refuse_closed(*claim, address, now);
  }
  if (!is_claim_code((*claim)->code_hash, code)) {
    s.guessing.wrong(address, {}, steady);
    s.refusals.claim("the code was wrong", address, now);
    return Outcome(refused(Refusal::kWrong));
  }
  s.guessing.right(address, {});
  for (auto& bad : {check_name(name), check_password(password)}) {
    if (bad) {
      return Outcome(tl::unexpected<Refused>(*bad));
    }
  }
  return s.take_claim(**claim, name, password, address, now);
}

Result<Outcome> ConsolePeople::login(std::string_view name,
                                     std::string_view password,
                                     std::string_view address,
                                     GnssTime now,
                                     Steady steady) {
  State& s = *state_;
  s.refusals.tell_left_out(now);
  const Steady wait = s.guessing.wait(address, steady);
  if (wait > Steady{0}) {
    s.refusals.login_held(now);
    return Outcome(tl::unexpected<Refused>(too_soon(wait)));
  }
  const Result<std::optional<User>> user = s.store.users().find(name);
  if (!user) {
    return fail(user.error());
  }
  const Result<bool> right = check_login(*user, password);
  if (!right) {
    return fail(right.error());
  }
  if (!*right) {
    s.guessing.wrong(address, name, steady);
    s.refusals.login(
        "a sign-in", *user ? (*user)->name : std::string(), address, now);
    return Outcome(refused(Refusal::kWrong));
  }
  s.guessing.right(address, name);
  s.renew_hash(**user, password, now);
  auto [row, session] = make_session((*user)->name, *(*user)->role, now);
  const Status entered = s.access().sign_in(row, arrival_at(now, address));
  if (!entered) {
    return fail(entered.error());
  }
  return Outcome(std::move(session));
}

Result<std::optional<Session>> ConsolePeople::session(std::string_view secret,
                                                      GnssTime now) {
  State& s = *state_;
  s.refusals.tell_left_out(now);
  if (!may_be_session_secret(secret)) {
    return std::nullopt;
  }
  const Result<std::optional<SessionRow>> row =
      s.access().session(session_hash(secret));
  if (!row) {
    return fail(row.error());
  }
  if (!*row || !holds(**row, now)) {
    return std::nullopt;
  }
  const Result<std::optional<User>> user = s.store.users().find((*row)->user);
  if (!user) {
    return fail(user.error());
  }
  if (!may_enter(*user)) {
    return std::nullopt;
  }
  s.touch(**row, now);
  return Session{(*user)->name, *(*user)->role, (*row)->csrf, (*row)->ends};
}

Status ConsolePeople::logout(std::string_view secret, GnssTime now) {
  return may_be_session_secret(secret)
             ? state_->access().sign_out(session_hash(secret), now)
             : ok();
}

Result<std::optional<Refused>> ConsolePeople::change_password(
    std::string_view secret,
    std::string_view old_password,
    std::string_view new_password,
    std::string_view address,
    GnssTime now,
    Steady steady) {
  State& s = *state_;
  const Result<std::optional<Session>> mine = session(secret, now);
  if (!mine) {
    return fail(mine.error());
  }
  if (!*mine) {
    return Refused{Refusal::kWrong, 0, {}};
  }
  const std::string& name = (*mine)->name;
  const Steady wait = s.guessing.wait_in_session(address, name, steady);
  if (wait > Steady{0}) {
    s.refusals.login_held(now);
    return too_soon(wait);
  }
  if (auto bad = check_password(new_password)) {
    return bad;
  }
  Result<std::optional<User>> user = s.store.users().find(name);
  if (!user) {
    return fail(std::move(user.error()));
  }
  const Result<bool> right = check_login(*user, old_password);
  if (!right) {
    return fail(right.error());
  }
  if (!*right) {
    s.guessing.wrong_in_session(address, name, steady);
    s.refusals.login("a change of a password", name, address, now);
    return Refused{Refusal::kWrong, 0, {}};
  }
  s.guessing.right_in_session(address, name);
  Result<std::string> hash = hash_password(new_password);
  if (!hash) {
    return fail(std::move(hash.error()));
  }
  (*user)->secret_hash = std::move(*hash);
  const Status changed = s.access().change_secret(
      **user, session_hash(secret), {now, "console: " + name});
  if (!changed) {
    return fail(changed.error());
  }
  return std::nullopt;
}

}  // namespace stillpoint::people
