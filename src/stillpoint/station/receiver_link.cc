#include "stillpoint/station/receiver_link.h"

#include <algorithm>
#include <charconv>
#include <utility>

#include "stillpoint/station/receiver_profile.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

constexpr nanoseconds kLongestReopen = std::chrono::minutes{5};
constexpr nanoseconds kGivenUpFor = std::chrono::minutes{1};

}  // namespace

ReceiverLink::ReceiverLink(net::Loop& loop,
                           ReceiverOptions options,
                           RawPath& raw,
                           Clocks clocks,
                           Chronicle& chronicle,
                           Logger log)
    : loop_(loop),
      options_(std::move(options)),
      raw_(raw),
      clocks_(std::move(clocks)),
      chronicle_(chronicle),
      log_(std::move(log)),
      // Until a position is adopted, steps that need one are left out.
      start_up_(options_.profile,
                profile::StationValues{},
                {[this](ByteSpan bytes) { return source_->send(bytes); },
                 [this](const profile::StepEvent& event) { on_step(event); }}) {
}

ReceiverLink::~ReceiverLink() = default;

Status ReceiverLink::start() {
  facts_.since = clocks_.wall();
  if (auto opened = open_pass_through(); !opened) {
    return opened;
  }
  quiet_ = Quiet{facts_.since, "the station was started", false};
  return open_source();
}

void ReceiverLink::stop() {
  if (source_) {
    source_->stop();
  }
}

Status ReceiverLink::open_source() {
  auto source = options_.open(loop_, options_.source);
  if (!source) {
    return fail(std::move(source.error()));
  }
  source_ = std::move(*source);
  heard_at_ = clocks_.steady();
  ++facts_.openings;
  source_->start(*this);
  return ok();
}

Status ReceiverLink::open_pass_through() {
  if (options_.pass_through.empty()) {
    return ok();
  }
  const auto to_receiver = [this](ByteSpan bytes) {
    if (const auto sent = source_->send(bytes); !sent) {
      log_.log(LogLevel::kWarning,
               "the program beside us could not reach the receiver",
               {{"why", sent.error().text()}});
    }
  };
  constexpr std::string_view kTcp = "tcp:";
  const std::string& where = options_.pass_through;
  std::uint16_t port = 0;
  const bool tcp = where.starts_with(kTcp);
  if (tcp) {
    std::from_chars(
        where.data() + kTcp.size(), where.data() + where.size(), port);
  }
  auto outlet = tcp ? net::open_tcp_outlet(loop_, port, to_receiver)
                    : net::open_pty_outlet(loop_, to_receiver);
  if (!outlet) {
    return fail(std::move(outlet.error()));
  }
  outlet_ = std::move(*outlet);
  facts_.pass_through = outlet_->where();
  log_.log(LogLevel::kInfo,
           "the receiver can be reached by one more program",
           {{"at", facts_.pass_through}});
  raw_.set_tap([this](ByteSpan bytes) {
    if (const auto sent = outlet_->send(bytes); !sent) {
      log_.log(LogLevel::kWarning,
               "bytes for the program beside us are lost",
               {{"why", sent.error().text()}});
    }
  });
  return ok();
}

void ReceiverLink::on_bytes(ByteSpan bytes) {
  const GnssTime now = clocks_.wall();
  heard_at_ = clocks_.steady();
  facts_.last_byte = heard_at_;
  reopen_after_ = {};
  raw_.push(bytes, now);
  start_up_.on_bytes(bytes, seconds_of(heard_at_));
  watch_start_up();
  if (quiet_) {
    back(now);
  }
  if (facts_.state != ReceiverState::kOpen) {
    enter(ReceiverState::kOpen, "");
  }
  last_byte_at_ = now;
}

void ReceiverLink::on_status(const net::SourceStatus& status) {
  switch (status.state) {
    case net::SourceState::kOpening:
      if (facts_.state != ReceiverState::kSilent) {
        enter(ReceiverState::kOpening, facts_.why);
      }
      break;
    case net::SourceState::kOpen:
      log_.log(LogLevel::kInfo,
               "the source is open",
               {{"source", options_.source.text}});
      heard_at_ = clocks_.steady();
      if (facts_.state != ReceiverState::kSilent) {
        enter(ReceiverState::kOpen, "");
      }
      begin_start_up();
      break;
    case net::SourceState::kWaiting:
      lost(status);
      break;
    case net::SourceState::kEnded:
      ended(status);
      break;
  }
}

// Each opening may be of a receiver that has lost its settings.
void ReceiverLink::begin_start_up() {
  if (options_.profile.steps.empty()) {
    return;
  }
  start_up_told_ = false;
  start_up_.begin(seconds_of(clocks_.steady()));
  watch_start_up();
}

void ReceiverLink::set_adopted(const std::optional<Ecef>& arp_m) {
  if (!arp_m || (adopted_ && norm(*adopted_ - *arp_m) == 0)) {
    return;
  }
  adopted_ = arp_m;
  const bool wants = start_up_.waits_for_values() || was_told_;
  start_up_.use(values_of(*arp_m));
  was_told_ = wants;
  if (wants && is_open()) {
    begin_start_up();
  }
}

void ReceiverLink::on_step(const profile::StepEvent& event) {
  using Kind = profile::StepEventKind;
  const profile::Step& step = start_up_.profile().steps[event.step];
  const char* what = "a start-up step was sent";
  LogLevel level = LogLevel::kDebug;
  switch (event.kind) {
    case Kind::kSent:
      break;
    case Kind::kAnswered:
      what = "the receiver accepted a start-up step";
      break;
    case Kind::kRefused:
      what = "the receiver refused a start-up step";
      level = LogLevel::kWarning;
      break;
    case Kind::kTimedOut:
      what = "the receiver did not answer a start-up step in time";
      level = LogLevel::kWarning;
      break;
    case Kind::kSkipped:
      what = "a start-up step waits for an adopted position";
      level = LogLevel::kInfo;
      break;
    case Kind::kNotSent:
      what = "a start-up step could not be sent";
      level = LogLevel::kWarning;
      break;
  }
  log_.log(
      level,
      what,
      {{"step", step.name}, {"place", step.place}, {"try", event.try_number}});
}

void ReceiverLink::watch_start_up() {
  facts_.start_up = start_up_.state();
  if (start_up_told_ || facts_.start_up == profile::StartUpState::kRunning ||
      facts_.start_up == profile::StartUpState::kIdle) {
    return;
  }
  start_up_told_ = true;
  const bool done = facts_.start_up == profile::StartUpState::kDone;
  log_.log(done ? LogLevel::kInfo : LogLevel::kError,
           done ? "the receiver is set up"
                : "the receiver could not be set up; what it sends is taken "
                  "all the same",
           {{"profile", start_up_.profile().name}});
}

bool ReceiverLink::is_open() const {
  return facts_.state == ReceiverState::kOpen ||
         facts_.state == ReceiverState::kSilent;
}

void ReceiverLink::enter(ReceiverState state, std::string why) {
  if (facts_.state != state) {
    facts_.since = clocks_.wall();
  }
  facts_.state = state;
  facts_.why = std::move(why);
}

void ReceiverLink::lost(const net::SourceStatus& status) {
  raw_.broken();
  const std::string why = status.why ? status.why->text() : "";
  if (why != facts_.why || facts_.state != ReceiverState::kWaiting) {
    log_.log(LogLevel::kWarning,
             "the source is lost or not there; trying again",
             {{"source", options_.source.text},
              {"why", why},
              {"retry_in_s", status.retry_in_s}});
  }
  if (!quiet_) {
    quiet_ = Quiet{last_byte_at_.value_or(facts_.since), why, false};
  } else if (!quiet_->told_silent) {
    quiet_->cause = why;
  }
  enter(ReceiverState::kWaiting, why);
}

// A source gives up where no waiting helps: a wrong password, a file that is
// not there. Somebody may mend that meanwhile, so it is looked at again.
void ReceiverLink::ended(const net::SourceStatus& status) {
  if (status.why) {
    lost({net::SourceState::kWaiting, status.why, seconds_of(kGivenUpFor)});
    reopen_at_ = clocks_.steady() + kGivenUpFor;
    return;
  }
  raw_.broken();
  enter(ReceiverState::kEnded, "");
  log_.log(LogLevel::kInfo,
           "the recording has come to its end",
           {{"source", options_.source.text}});
}

void ReceiverLink::tick() {
  const auto now = clocks_.steady();
  if (reopen_at_ && now >= *reopen_at_) {
    reopen();
  }
  if (is_open()) {
    start_up_.tick(seconds_of(now));
    watch_start_up();
  }
  // A recording may pause; only what is live can be silent.
  const bool live = options_.source.kind != net::SourceKind::kFile &&
                    options_.source.kind != net::SourceKind::kStdin;
  if (live && is_open() &&
      now - heard_at_ >= std::max(options_.silence, reopen_after_)) {
    silent(now);
  } else if (facts_.state == ReceiverState::kWaiting && quiet_ &&
             !quiet_->told_silent && facts_.last_byte &&
             now - *facts_.last_byte >= options_.silence) {
    // Lost and not back within the silence time: as silent as an open one.
    quiet_->told_silent = true;
    chronicle_.tell(LogKind::kSourceSilent,
                    "no byte of the receiver: " + quiet_->cause,
                    {{"cause", quiet_->cause}});
  }
}

void ReceiverLink::silent(nanoseconds now) {
  const std::string why =
      "no byte for " +
      std::to_string(std::chrono::duration_cast<std::chrono::seconds>(
                         now - facts_.last_byte.value_or(heard_at_))
                         .count()) +
      " s";
  log_.log(LogLevel::kWarning,
           "the receiver is silent; its source is opened again",
           {{"source", options_.source.text}, {"why", why}});
  if (!quiet_) {
    quiet_ = Quiet{last_byte_at_.value_or(facts_.since), "silent", false};
  }
  if (!quiet_->told_silent) {
    quiet_->told_silent = true;
    chronicle_.tell(LogKind::kSourceSilent,
                    "the receiver sends nothing: " + why,
                    {{"cause", "silent"}});
  }
  enter(ReceiverState::kSilent, why);
  // Opening can reset a receiver: not too often.
  reopen_after_ =
      std::min(std::max(options_.silence, reopen_after_) * 2, kLongestReopen);
  raw_.broken();
  reopen();
}

void ReceiverLink::reopen() {
  reopen_at_.reset();
  source_->stop();
  if (const auto opened = open_source(); !opened) {
    log_.log(LogLevel::kError,
             "the source cannot be opened",
             {{"why", opened.error().text()}});
    reopen_at_ = clocks_.steady() + kGivenUpFor;
  }
}

void ReceiverLink::back(GnssTime now) {
  const Quiet quiet = *std::exchange(quiet_, std::nullopt);
  const double lasted_s = (now - quiet.from).s;
  log_.log(LogLevel::kInfo,
           "bytes arrive",
           {{"source", options_.source.text},
            {"cause", quiet.cause},
            {"none_for_s", lasted_s}});
  std::vector<LogDetail> details = {{"cause", quiet.cause},
                                    {"from_gpst_ns", quiet.from.ns()},
                                    {"end_gpst_ns", now.ns()},
                                    {"lasted_s", lasted_s}};
  if (last_byte_at_) {  // not the first byte of this run
    chronicle_.tell(
        LogKind::kGap, "no byte of the receiver: " + quiet.cause, details);
  }
  if (quiet.told_silent) {
    chronicle_.tell(
        LogKind::kSourceBack, "the receiver sends again", std::move(details));
  }
}

}  // namespace stillpoint::station
