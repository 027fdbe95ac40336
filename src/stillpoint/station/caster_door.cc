#include "stillpoint/station/caster_door.h"

#include <algorithm>
#include <utility>

namespace stillpoint::station {
namespace {

constexpr std::chrono::nanoseconds kRenewEvery = std::chrono::seconds{20};

people::Question as_question(const ntrip::LedgerQuestion& question) {
  return {question.mount, question.user, question.password, question.address};
}

ntrip::Admission as_admission(people::Admission admission) {
  switch (admission) {
    case people::Admission::kAllowed:
      return ntrip::Admission::kAllowed;
    case people::Admission::kWrongLogin:
      return ntrip::Admission::kWrongLogin;
    case people::Admission::kForbidden:
      return ntrip::Admission::kForbidden;
    case people::Admission::kTooMany:
      return ntrip::Admission::kTooMany;
  }
  return ntrip::Admission::kForbidden;
}

ntrip::Verdict too_many() {
  return {ntrip::Admission::kTooMany, 0, {}};
}

}  // namespace

std::optional<CasterDoor::Waiting> CasterDoor::Line::push(Waiting waiting) {
  {
    const std::lock_guard lock(mutex_);
    if (closed_ || waiting_.size() >= most_) {
      return waiting;
    }
    waiting_.push_back(std::move(waiting));
  }
  filled_.notify_one();
  return std::nullopt;
}

std::optional<CasterDoor::Waiting> CasterDoor::Line::pop() {
  std::unique_lock lock(mutex_);
  filled_.wait_for(lock, std::chrono::seconds{1}, [&] {
    return closed_ || !waiting_.empty();
  });
  if (closed_ || waiting_.empty()) {
    return std::nullopt;
  }
  Waiting next = std::move(waiting_.front());
  waiting_.pop_front();
  return next;
}

void CasterDoor::Line::close() {
  {
    const std::lock_guard lock(mutex_);
    closed_ = true;
  }
  filled_.notify_all();
}

bool CasterDoor::Line::closed() const {
  const std::lock_guard lock(mutex_);
  return closed_;
}

CasterDoor::CasterDoor(people::Door& door,
                       Clocks clocks,
                       Chronicle& chronicle,
                       Logger log)
    : door_(door),
      clocks_(std::move(clocks)),
      chronicle_(chronicle),
      log_(std::move(log)) {}

void CasterDoor::ask(const ntrip::LedgerQuestion& question, Answer answer) {
  if (const auto refused = questions_.push({question, std::move(answer)})) {
    refused->answer(too_many());
  }
}

void CasterDoor::run_questions() {
  while (!questions_.closed()) {
    asked_beat_.beat(clocks_.steady());
    renew();
    auto waiting = questions_.pop();
    if (!waiting) {
      continue;
    }
    const auto decision =
        door_.first(as_question(waiting->question), clocks_.steady());
    if (decision) {
      answer(*waiting, *decision);
    } else if (const auto refused = slow_.push(std::move(*waiting))) {
      refused->answer(too_many());
    }
  }
}

// Whoever was removed or disabled is let go by the next look at the session.
void CasterDoor::renew() {
  const auto now = clocks_.steady();
  if (now - renewed_at_ >= kRenewEvery) {
    renewed_at_ = now;
    door_.renew();
  }
}

void CasterDoor::run_hashes() {
  while (!slow_.closed()) {
    hashed_beat_.beat(clocks_.steady());
    if (auto waiting = slow_.pop()) {
      answer(*waiting,
             door_.finish(as_question(waiting->question), clocks_.steady()));
    }
  }
}

std::map<std::string, std::uint64_t> CasterDoor::at_mounts() const {
  std::map<std::string, std::uint64_t> counts;
  const std::lock_guard lock(mutex_);
  for (const auto& [session, present] : sessions_) {
    ++counts[present.facts.mount];
  }
  return counts;
}

std::vector<CasterDoor::Present> CasterDoor::present(std::size_t most) const {
  std::vector<Present> all;
  {
    const std::lock_guard lock(mutex_);
    all.reserve(sessions_.size());
    for (const auto& [session, present] : sessions_) {
      all.push_back(present);
    }
  }
  const auto first = [](const Present& a, const Present& b) {
    return a.facts.session < b.facts.session;
  };
  std::sort(all.begin(), all.end(), first);
  all.resize(std::min(most, all.size()));
  return all;
}

void CasterDoor::stop() {
  questions_.close();
  slow_.close();
}

void CasterDoor::answer(Waiting& waiting, const people::Decision& decision) {
  if (decision.error) {
    log_.log(LogLevel::kError,
             "accounts cannot be looked up",
             {{"why", decision.error->text()}});
  }
  if (decision.admission != people::Admission::kAllowed) {
    log_.log(LogLevel::kInfo,
             "a rover was refused",
             {{"mount", waiting.question.mount},
              {"user", waiting.question.user},
              {"address", waiting.question.address},
              {"why", decision.why}});
  }
  people::wipe(waiting.question.password);
  waiting.answer(
      {as_admission(decision.admission), decision.remaining_bytes, {}});
}

void CasterDoor::on_connect(const ntrip::SessionFacts& facts) {
  door_.came(facts.session, facts.user, facts.mount);
  log_.log(LogLevel::kInfo,
           "rover came",
           {{"session", facts.session},
            {"mount", facts.mount},
            {"user", facts.user},
            {"address", facts.address},
            {"program", facts.user_agent},
            {"version", static_cast<int>(facts.version)},
            {"tls", facts.tls}});
  // Where somebody connected from is not kept for years.
  chronicle_.tell(LogKind::kRoverCame,
                  (facts.user.empty() ? "a rover" : facts.user) + " came for " +
                      facts.mount,
                  {{"mount", facts.mount}, {"user", facts.user}});
  const std::lock_guard lock(mutex_);
  sessions_.emplace(facts.session, Present{facts, clocks_.wall(), 0});
}

std::optional<std::uint64_t> CasterDoor::on_progress(
    ntrip::SessionId session, const ntrip::SessionAccount& account) {
  {
    const std::lock_guard lock(mutex_);
    if (const auto found = sessions_.find(session); found != sessions_.end()) {
      found->second.sent_bytes = account.sent_bytes;
    }
  }
  return door_.progress(session, account.sent_bytes, clocks_.steady());
}

void CasterDoor::on_disconnect(ntrip::SessionId session,
                               ntrip::Departure why,
                               const ntrip::SessionAccount& account) {
  door_.went(session, account.sent_bytes, clocks_.steady());
  ntrip::SessionFacts facts;
  {
    const std::lock_guard lock(mutex_);
    if (auto node = sessions_.extract(session)) {
      facts = std::move(node.mapped().facts);
    }
  }
  const char* reason = ntrip::departure_name(why);
  log_.log(LogLevel::kInfo,
           "rover went",
           {{"session", session},
            {"mount", facts.mount},
            {"user", facts.user},
            {"reason", reason},
            {"sent_bytes", account.sent_bytes},
            {"unsent_bytes", account.unsent_bytes}});
  chronicle_.tell(LogKind::kRoverWent,
                  (facts.user.empty() ? "a rover" : facts.user) + " left " +
                      facts.mount + ": " + reason,
                  {{"reason", reason},
                   {"bytes", static_cast<std::int64_t>(account.sent_bytes)},
                   {"mount", facts.mount},
                   {"user", facts.user}});
}

}  // namespace stillpoint::station
