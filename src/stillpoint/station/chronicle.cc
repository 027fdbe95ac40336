#include "stillpoint/station/chronicle.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

constexpr std::int64_t kHourNs = 3600 * GnssTime::kNsPerS;
constexpr nanoseconds kLongestWait = std::chrono::seconds{1};

bool of_rover(LogKind kind) {
  return kind == LogKind::kRoverCame || kind == LogKind::kRoverWent;
}

void sooner(std::optional<nanoseconds>& due, nanoseconds at) {
  due = due ? std::min(*due, at) : at;
}

}  // namespace

Chronicle::Chronicle(ChronicleOptions options, Clocks clocks, Logger log)
    : options_(std::move(options)),
      clocks_(std::move(clocks)),
      log_(std::move(log)) {}

void Chronicle::tell(LogKind kind,
                     std::string text,
                     std::vector<LogDetail> details) {
  tell_at({clocks_.wall(), kind, std::move(text), std::move(details)});
}

void Chronicle::tell_at(LogEntry entry) {
  const auto now = clocks_.steady();
  {
    const std::lock_guard lock(mutex_);
    const bool rover = of_rover(entry.kind);
    if (rover && !room_for_rover(entry)) {
      return;
    }
    entries_.push_back(std::move(entry));
    ++told_count_;
    sooner(entry_due_,
           now + (rover ? options_.rover_wait : options_.entry_wait));
    bound();
  }
  told_.notify_one();
}

// Under the lock. The last entry of an hour that was full says how many are
// not there.
bool Chronicle::room_for_rover(const LogEntry& entry) {
  const std::int64_t hour = entry.at.ns() / kHourNs;
  if (hour != rover_hour_) {
    if (rovers_unwritten_ > 0) {
      ++told_count_;
      entries_.push_back(
          {entry.at,
           LogKind::kRoverWent,
           "more rovers came and went in the hour before than are written",
           {{"reason", "not written"},
            {"bytes", std::int64_t{0}},
            {"entries_count", static_cast<std::int64_t>(rovers_unwritten_)}}});
    }
    rover_hour_ = hour;
    rover_entries_ = 0;
    rovers_unwritten_ = 0;
  }
  if (rover_entries_ >= options_.most_rover_entries) {
    ++rovers_unwritten_;
    return false;
  }
  ++rover_entries_;
  return true;
}

// Under the lock.
void Chronicle::bound() {
  while (entries_.size() > options_.most_waiting) {
    entries_.pop_front();
    ++dropped_;
    ++settled_count_;
  }
  if (minutes_.size() > options_.most_waiting) {
    minutes_.erase(
        minutes_.begin(),
        minutes_.end() - static_cast<std::ptrdiff_t>(options_.most_waiting));
  }
}

bool Chronicle::wait_written(nanoseconds longest) {
  std::unique_lock lock(mutex_);
  const std::uint64_t wanted = told_count_;
  sooner(entry_due_, clocks_.steady());
  told_.notify_one();
  return written_.wait_for(
      lock, longest, [&] { return settled_count_ >= wanted; });
}

void Chronicle::add_minutes(std::vector<NamedMinute> minutes) {
  if (minutes.empty()) {
    return;
  }
  bool many = false;
  {
    const std::lock_guard lock(mutex_);
    std::move(minutes.begin(), minutes.end(), std::back_inserter(minutes_));
    // Days go by in a minute where a recording is played.
    many = minutes_.size() >= options_.most_waiting / 2;
    sooner(minutes_due_,
           clocks_.steady() + (many ? nanoseconds{0} : options_.minutes_wait));
    bound();
  }
  if (many) {
    told_.notify_one();
  }
}

std::optional<LastRun> Chronicle::last_run() const {
  const std::lock_guard lock(mutex_);
  return last_run_;
}

ChronicleFacts Chronicle::facts() const {
  const std::lock_guard lock(mutex_);
  return {why_.empty(), why_, entries_.size(), dropped_, settled_count_};
}

bool Chronicle::due(nanoseconds now) const {
  if (stopping_) {
    return true;
  }
  if (retry_at_ && now < *retry_at_) {
    return false;
  }
  return !written_ever_ || (entry_due_ && now >= *entry_due_) ||
         (minutes_due_ && now >= *minutes_due_);
}

void Chronicle::run() {
  bool last = false;
  while (!last) {
    Waiting waiting;
    {
      std::unique_lock lock(mutex_);
      told_.wait_for(lock, kLongestWait, [&] {
        return stopping_ || due(clocks_.steady());
      });
      heart_.beat(clocks_.steady());
      last = stopping_;
      if (!due(clocks_.steady())) {
        continue;
      }
      // Minutes that wait for company go along with entries: one sync.
      waiting.entries.assign(std::make_move_iterator(entries_.begin()),
                             std::make_move_iterator(entries_.end()));
      entries_.clear();
      waiting.minutes = std::exchange(minutes_, {});
      entry_due_.reset();
      minutes_due_.reset();
    }
    if (!write(std::move(waiting)) && last) {
      log_.log(LogLevel::kError,
               "entries of the logbook are lost",
               {{"count", facts().entries_waiting}});
    }
  }
  store_.reset();
}

void Chronicle::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  told_.notify_all();
}

bool Chronicle::open() {
  if (store_) {
    return true;
  }
  auto opened = Store::open(options_.database);
  if (!opened) {
    failed(opened.error());
    return false;
  }
  if (const auto& upgrade = opened->upgrade()) {
    log_.log(LogLevel::kInfo,
             "the database was brought up to date",
             {{"from_version", upgrade->from_version},
              {"to_version", upgrade->to_version},
              {"copy", upgrade->copy}});
  }
  store_.emplace(std::move(*opened));
  read_last_run();
  return true;
}

void Chronicle::read_last_run() {
  LogQuery newest;
  newest.limit = 1;
  const auto entries = store_->logbook().read(newest);
  const std::lock_guard lock(mutex_);
  if (!last_run_ && entries && !entries->empty()) {
    const LogEntry& entry = entries->front().entry;
    last_run_ = {entry.kind == LogKind::kStopped, entry.at};
  }
}

bool Chronicle::write(Waiting waiting) {
  if (!open() || !write_entries(waiting) || !write_minutes(waiting)) {
    put_back(std::move(waiting));
    return false;
  }
  const std::lock_guard lock(mutex_);
  if (!why_.empty() && written_ever_) {
    log_.log(LogLevel::kInfo, "the database can be written again");
  }
  why_.clear();
  retry_at_.reset();
  written_ever_ = true;
  return true;
}

// False where another try may go better.
bool Chronicle::write_entries(Waiting& waiting) {
  if (waiting.entries.empty()) {
    return true;
  }
  const auto done = store_->logbook().append_all(waiting.entries);
  return settle(done ? std::nullopt : std::optional(done.error()), [&] {
    {
      const std::lock_guard lock(mutex_);
      settled_count_ += waiting.entries.size();
    }
    written_.notify_all();
    waiting.entries.clear();
  });
}

bool Chronicle::write_minutes(Waiting& waiting) {
  if (waiting.minutes.empty()) {
    return true;
  }
  const auto done = store_->minutes().add(waiting.minutes);
  if (!settle(done ? std::nullopt : std::optional(done.error()),
              [&] { waiting.minutes.clear(); })) {
    return false;
  }
  if (!options_.clock_proved()) {
    return true;
  }
  const auto erased =
      store_->minutes().erase_before(clocks_.wall() - options_.keep_minutes);
  return settle(erased ? std::nullopt : std::optional(erased.error()), [] {});
}

// What the database refuses for good is given up, and said.
bool Chronicle::settle(const std::optional<Error>& why,
                       const std::function<void()>& done) {
  if (why &&
      (why->code == ErrorCode::kIo || why->code == ErrorCode::kBadFormat)) {
    failed(*why);
    return false;
  }
  if (why) {
    log_.log(LogLevel::kError,
             "the database refused what was to be kept",
             {{"why", why->text()}});
  }
  done();
  return true;
}

void Chronicle::put_back(Waiting waiting) {
  const std::lock_guard lock(mutex_);
  entries_.insert(entries_.begin(),
                  std::make_move_iterator(waiting.entries.begin()),
                  std::make_move_iterator(waiting.entries.end()));
  minutes_.insert(minutes_.begin(),
                  std::make_move_iterator(waiting.minutes.begin()),
                  std::make_move_iterator(waiting.minutes.end()));
  const auto again = clocks_.steady() + options_.retry_after;
  if (!entries_.empty()) {
    sooner(entry_due_, again);
  }
  if (!minutes_.empty()) {
    sooner(minutes_due_, again);
  }
  bound();
}

void Chronicle::failed(const Error& why) {
  const std::string text = why.text();
  const std::lock_guard lock(mutex_);
  retry_at_ = clocks_.steady() + options_.retry_after;
  if (text == why_) {
    return;
  }
  why_ = text;
  log_.log(
      LogLevel::kError,
      "the database cannot be used; it is tried again",
      {{"why", text},
       {"remedy", why.remedy.empty() ? default_remedy(why.code) : why.remedy}});
}

}  // namespace stillpoint::station
