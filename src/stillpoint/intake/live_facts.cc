#include "stillpoint/intake/live_facts.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/peek.h"
#include "stillpoint/rtcm/safe_text.h"

namespace stillpoint::intake {
namespace {

constexpr std::size_t kMostSentences = 256;
// Messages before MSM take its place once MSM was silent for so long.
constexpr double kMsmSilentS = 60;

// As recorded source tables spell them (GPS and GLO: tests/vectors/ntrip.txt);
// NavIC from memory.
const char* table_name(System system) {
  switch (system) {
    case System::kGps:
      return "GPS";
    case System::kGlonass:
      return "GLO";
    case System::kGalileo:
      return "GAL";
    case System::kBeidou:
      return "BDS";
    case System::kQzss:
      return "QZS";
    case System::kSbas:
      return "SBAS";
    case System::kNavic:
      return "IRS";
  }
  return "";
}

// Of two names the one that says something.
void name(std::optional<std::string>& into, const std::string& bytes) {
  if (!bytes.empty() || !into) {
    into = rtcm::safe_text(bytes);
  }
}

std::optional<GnssTime> later(std::optional<GnssTime> t, int weeks) {
  return t ? std::optional(
                 GnssTime::from_ns(t->ns() + weeks * GnssTime::kWeekNs))
           : std::nullopt;
}

}  // namespace

LiveFacts::LiveFacts(const StreamReaderOptions& options, OnEpoch on_epoch)
    : on_epoch_(std::move(on_epoch)),
      navigation_sink_(*this),
      reader_(options, *this),
      navigation_reader_(options, navigation_sink_) {}

void LiveFacts::push(ByteSpan bytes, std::optional<GnssTime> received) {
  received_ = received;
  clock_ = received ? received : clock_;
  reader_.push(bytes, received);
}

void LiveFacts::tick(GnssTime received) {
  received_ = clock_ = received;
  reader_.tick(received);
}

void LiveFacts::push_navigation(ByteSpan bytes,
                                std::optional<GnssTime> received) {
  clock_ = received ? received : clock_;
  navigation_reader_.push(bytes, received);
}

void LiveFacts::on_rtcm(std::optional<int> type, ByteSpan frame) {
  messages_.add(type, frame, received_);
  if (const auto id = rtcm::peek_station_id(rtcm::payload_of(frame))) {
    station_.id = id;
  }
}

void LiveFacts::on_nmea(const nmea::Sentence& sentence) {
  if (nmea_.size() < kMostSentences || nmea_.contains(sentence.type)) {
    ++nmea_[sentence.type];
  }
}

std::optional<GnssTime> LiveFacts::now() const {
  if (last_epoch_ && last_epoch_clock_ && clock_) {
    return *last_epoch_ + (*clock_ - *last_epoch_clock_);
  }
  return last_epoch_ ? last_epoch_ : clock_;
}

// Streams may send every epoch twice, as MSM and in the messages before it.
bool LiveFacts::is_beside_msm(const Epoch& epoch, bool legacy) {
  if (legacy) {
    return last_msm_ && std::abs((epoch.time - *last_msm_).s) <= kMsmSilentS;
  }
  last_msm_ = epoch.time;
  // The first epochs of MSM, after some that were taken from the others.
  return last_was_legacy_ && last_epoch_ && epoch.time <= *last_epoch_;
}

void LiveFacts::on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) {
  if (is_beside_msm(epoch, origin.legacy)) {
    return;
  }
  last_was_legacy_ = origin.legacy;
  last_epoch_ = epoch.time;
  last_epoch_clock_ = received_;
  watch_.add(epoch, received_);
  if (on_epoch_) {
    on_epoch_(epoch);
  }
}

void LiveFacts::on_ephemeris(const KeplerEphemeris& e) {
  navigation_.add(e, now());
}

void LiveFacts::on_ephemeris(const StateEphemeris& e, bool week_known) {
  if (week_known) {
    navigation_.add(e, now());
  }
}

void LiveFacts::on_position(const rtcm::StationPosition& position, int type) {
  station_.arp_m = position.arp_m;
  position_type_ = type;
  // 1005 between two 1006 says nothing about the height.
  if (position.antenna_height_m) {
    station_.antenna_height_m = position.antenna_height_m;
  }
}

void LiveFacts::on_antenna(const rtcm::AntennaDescription& antenna,
                           int /*type*/) {
  name(station_.antenna, antenna.descriptor);
  if (antenna.receiver_type) {
    name(station_.receiver, *antenna.receiver_type);
  }
}

void LiveFacts::on_week_moved(int weeks) {
  watch_.move(weeks);
  last_epoch_ = later(last_epoch_, weeks);
  last_msm_ = later(last_msm_, weeks);
}

std::vector<quality::MinuteRow> LiveFacts::take_minutes(GnssTime now) {
  if (!reader_.week_known()) {
    return {};
  }
  return watch_.take_minutes(now);
}

void LiveFacts::describe_signals(LiveSnapshot& snapshot) const {
  std::array<bool, kSystemCount> systems{};
  std::array<std::set<char>, kSystemCount> bands;
  for (const quality::SignalState& s : snapshot.quality.signals) {
    const auto system = static_cast<std::size_t>(s.system);
    systems[system] = true;
    if (s.has_phase) {
      bands[system].insert(s.signal.band);
    }
  }
  for (const System system : kSystems) {
    const auto i = static_cast<std::size_t>(system);
    if (systems[i]) {
      snapshot.nav_system += snapshot.nav_system.empty() ? "" : "+";
      snapshot.nav_system += table_name(system);
    }
    snapshot.carrier =
        std::max(snapshot.carrier,
                 static_cast<int>(std::min<std::size_t>(bands[i].size(), 2)));
  }
}

LiveSnapshot LiveFacts::snapshot(std::optional<GnssTime> now) const {
  LiveSnapshot s;
  const StreamCounts counts = reader_.counts();
  s.bytes = counts.split.bytes;
  s.bad_crc = counts.split.bad_checksum;
  s.skipped_bytes = counts.split.skipped_bytes;
  s.malformed = counts.malformed;
  s.maker_packets =
      counts.split.frames[static_cast<std::size_t>(profile::FrameKind::kMaker)];
  s.messages = messages_.list(now);
  s.message_list = messages_.details();
  for (const auto& [type, count] : nmea_) {
    s.nmea.push_back({type, count});
  }
  s.station = station_;
  s.position_type = position_type_;
  if (const auto clock = this->now()) {
    s.ephemerides = navigation_.fresh(*clock);
  }
  const StreamCounts navigation = navigation_reader_.counts();
  s.navigation_bytes = navigation.split.bytes;
  s.navigation_bad_crc = navigation.split.bad_checksum;
  s.quality = watch_.snapshot(now);
  s.week_known = reader_.week_known();
  describe_signals(s);
  return s;
}

}  // namespace stillpoint::intake
