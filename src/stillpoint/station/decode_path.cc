#include "stillpoint/station/decode_path.h"

#include <cmath>
#include <utility>

#include "stillpoint/api/station_table.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/navigation_reader.h"

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

constexpr nanoseconds kTurn = std::chrono::milliseconds{200};
// Epoch, receiver and cable take less; a clock that is wrong is wrong by more.
constexpr double kClockProvedS = 5;
// A coordinate that is sent and wrong by so much does harm to everyone.
constexpr double kFarOffM = 30;
constexpr nanoseconds kSkyEvery = std::chrono::seconds{2};

api::StreamFacts table_facts(const intake::LiveSnapshot& snapshot) {
  api::StreamFacts facts;
  facts.messages = snapshot.message_list;
  if (!snapshot.quality.signals.empty()) {
    facts.carrier = snapshot.carrier;
  }
  facts.nav_system = snapshot.nav_system;
  facts.broadcast_m = snapshot.station.arp_m;
  double bytes_per_second = 0;
  for (const intake::LiveMessage& message : snapshot.messages) {
    if (message.rate_hz && message.count > 0) {
      bytes_per_second += *message.rate_hz *
                          static_cast<double>(message.bytes) /
                          static_cast<double>(message.count);
    }
  }
  if (bytes_per_second > 0) {
    facts.bits_per_second = 8 * bytes_per_second;
  }
  return facts;
}

}  // namespace

DecodePath::DecodePath(DecodeOptions options, Clocks clocks, Logger log)
    : options_(std::move(options)),
      clocks_(std::move(clocks)),
      log_(std::move(log)),
      queue_(options_.most_queued),
      facts_({.decoder = {.day = options_.day, .era = clocks_.wall()},
              .framings = options_.framings},
             [this](const Epoch& epoch) { on_epoch(epoch); }),
      config_(options_.config) {}

void DecodePath::connect(Chronicle& chronicle, ntrip::FanOut& fan_out) {
  chronicle_ = &chronicle;
  fan_out_ = &fan_out;
}

void DecodePath::set_config(const config::StationConfig& config) {
  const std::lock_guard lock(mutex_);
  config_ = config;
}

config::StationConfig DecodePath::config() const {
  const std::lock_guard lock(mutex_);
  return config_;
}

void DecodePath::run() {
  read_navigation_files();
  while (true) {
    const bool ending = queue_.closed();
    heart_.beat(clocks_.steady());
    for (const ReceivedBytes& item : queue_.take(kTurn)) {
      take(item);
      heart_.beat(clocks_.steady());
    }
    if (!options_.recorded) {
      facts_.tick(clocks_.wall());
    }
    if (ending) {
      facts_.finish();
      look();
      return;
    }
    if (clocks_.steady() - looked_at_ >= options_.look_every) {
      look();
    }
  }
}

void DecodePath::read_navigation_files() {
  for (const std::string& entry : config().receiver.nav_sources) {
    if (config::is_source(entry)) {
      continue;  // a stream: its bytes come through the queue
    }
    heart_.beat(clocks_.steady());
    auto stream = open_unpacked(entry);
    auto read = stream ? rinex::read_navigation(std::move(*stream))
                       : fail(std::move(stream.error()));
    if (read) {
      facts_.add_navigation(read->data, clocks_.wall());
      log_.log(LogLevel::kInfo, "ephemerides were read", {{"path", entry}});
    } else {
      log_.log(LogLevel::kError,
               "ephemerides cannot be read",
               {{"path", entry}, {"why", read.error().text()}});
    }
  }
}

void DecodePath::take(const ReceivedBytes& item) {
  received_ = options_.recorded ? std::nullopt : std::optional(item.received);
  if (item.navigation) {
    facts_.push_navigation(*item.bytes, received_);
  } else {
    facts_.push(*item.bytes, received_);
  }
}

void DecodePath::on_epoch(const Epoch& epoch) {
  {
    const std::lock_guard lock(mutex_);
    epochs_ = EpochSpan{epochs_ ? epochs_->first : epoch.time, epoch.time};
    // Data of a day that the source names are not of today.
    if (received_ && !options_.day) {
      const double offset_s = (*received_ - epoch.time).s;
      clock_proved_ = std::abs(offset_s) < kClockProvedS;
      clock_offset_s_ = offset_s;
    }
  }
  sky_watch_.add(epoch, facts_.orbits(), antenna());
  const bool due = !position_at_ || std::abs((epoch.time - *position_at_).s) >=
                                        solve::LivePosition::kStepS;
  if (due) {
    position_at_ = epoch.time;
    const BroadcastOrbits& orbits = facts_.orbits();
    position_.add(epoch, orbits, orbits.ionosphere());
  }
}

// Once a second: what others read, and what is told.
void DecodePath::look() {
  looked_at_ = clocks_.steady();
  const auto now =
      options_.recorded ? std::nullopt : std::optional(clocks_.wall());
  intake::LiveSnapshot snapshot = facts_.snapshot(now);
  std::vector<NamedMinute> minutes;
  for (const quality::MinuteRow& row : facts_.take_minutes(clocks_.wall())) {
    minutes.push_back(
        {row.name, {row.minute, row.count, row.sum, row.min, row.max}});
  }
  chronicle_->add_minutes(std::move(minutes));
  if (table_.empty() || looked_at_ - table_at_ >= options_.table_every) {
    update_table(snapshot);
  }
  watch_position(snapshot);
  watch_sky();
  const std::lock_guard lock(mutex_);
  snapshot_ = std::move(snapshot);
  snapshot_at_ = looked_at_;
}

void DecodePath::update_table(const intake::LiveSnapshot& snapshot) {
  table_at_ = looked_at_;
  bool is_adopted = false;
  {
    const std::lock_guard lock(mutex_);
    is_adopted = adopted_.has_value();
  }
  std::string table = ntrip::format_sourcetable(
      api::station_table(config(), table_facts(snapshot), is_adopted));
  if (table != table_) {
    table_ = std::move(table);
    fan_out_->set_table(table_);
  }
}

// The coordinate that rovers are told against the one that the station's own
// code ranges give: a mistyped one would shift all of them.
void DecodePath::watch_position(const intake::LiveSnapshot& snapshot) {
  std::optional<Ecef> sent = snapshot.station.arp_m;
  {
    const std::lock_guard lock(mutex_);
    sent = adopted_ ? adopted_ : sent;
  }
  const auto found = position_.fix();
  std::optional<double> offset_m;
  if (sent && found) {
    offset_m = found->distance_m(*sent);
  }
  if (offset_m && *offset_m > kFarOffM && !far_off_told_) {
    far_off_told_ = true;
    log_.log(LogLevel::kWarning,
             "the coordinate that is sent is far from where the antenna seems "
             "to be",
             {{"apart_m", *offset_m}});
  } else if (offset_m && *offset_m < kFarOffM / 2) {
    far_off_told_ = false;
  }
  const std::lock_guard lock(mutex_);
  code_offset_m_ = offset_m;
  fix_ = found;
}

std::optional<Ecef> DecodePath::antenna() const {
  const std::lock_guard lock(mutex_);
  return adopted_ ? adopted_
         : fix_   ? std::optional(fix_->antenna_m)
                  : std::nullopt;
}

void DecodePath::watch_sky() {
  if (looked_at_ - sky_at_ < kSkyEvery) {
    return;
  }
  sky_at_ = looked_at_;
  quality::SkySnapshot sky = sky_watch_.snapshot(facts_.orbits(), antenna());
  const std::lock_guard lock(mutex_);
  sky_ = std::move(sky);
}

std::optional<EpochSpan> DecodePath::epochs() const {
  const std::lock_guard lock(mutex_);
  return epochs_;
}

GnssTime DecodePath::data_now() const {
  const auto span = epochs();
  return options_.day && span ? span->last : clocks_.wall();
}

quality::SkySnapshot DecodePath::sky() const {
  const std::lock_guard lock(mutex_);
  return sky_;
}

void DecodePath::set_adopted(const std::optional<Ecef>& arp_m) {
  const std::lock_guard lock(mutex_);
  adopted_ = arp_m;
}

DecodedFacts DecodePath::facts() const {
  const std::lock_guard lock(mutex_);
  DecodedFacts facts;
  facts.fix = fix_;
  facts.messages = snapshot_.messages;
  for (const int count : snapshot_.ephemerides) {
    facts.ephemerides += count;
  }
  if (!epochs_) {
    return facts;
  }
  facts.satellites = 0;
  double sum = 0;
  int signals = 0;
  for (const int count : snapshot_.quality.satellites) {
    *facts.satellites += count;
  }
  for (const quality::SignalState& signal : snapshot_.quality.signals) {
    if (signal.cn0_mean_dbhz && signal.satellites > 0) {
      sum += *signal.cn0_mean_dbhz * signal.satellites;
      signals += signal.satellites;
    }
  }
  if (signals > 0) {
    facts.cn0_mean_dbhz = sum / signals;
  }
  return facts;
}

void DecodePath::show(nanoseconds now, api::StationStatus& status) const {
  const std::lock_guard lock(mutex_);
  api::DecodeStatus& decode = status.decode;
  for (const intake::LiveMessage& message : snapshot_.messages) {
    if (message.type) {
      decode.messages[*message.type] = message.count;
    }
  }
  decode.bad_crc = snapshot_.bad_crc;
  decode.malformed = snapshot_.malformed;
  decode.skipped_bytes = snapshot_.skipped_bytes;
  const quality::SignalSnapshot& quality = snapshot_.quality;
  for (std::size_t i = 0; i < kSystemCount; ++i) {
    if (quality.satellites[i] > 0) {
      decode.satellites[static_cast<System>(i)] =
          static_cast<std::uint64_t>(quality.satellites[i]);
    }
  }
  for (const quality::SignalState& signal : quality.signals) {
    decode.signals[{signal.system, signal.signal}] = {signal.cn0_mean_dbhz,
                                                      signal.slips};
  }
  decode.epochs_received = quality.epochs.received;
  decode.epochs_missed = quality.epochs.missed;
  if (quality.age_s) {
    decode.last_epoch_age_s = *quality.age_s + seconds_of(now - snapshot_at_);
  }
  decode.code_offset_m = code_offset_m_;
  status.process.clock_offset_s = clock_offset_s_;
}

}  // namespace stillpoint::station
