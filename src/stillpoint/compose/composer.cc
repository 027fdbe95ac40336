#include "stillpoint/compose/composer.h"

#include <algorithm>
#include <utility>

#include "stillpoint/compose/frame_facts.h"
#include "stillpoint/compose/own_frames.h"
#include "stillpoint/core/check.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/station.h"

namespace stillpoint::compose {
namespace {

// An epoch whose last message was lost is over by then.
constexpr double kLongestRunS = 5;
// A system is served while its observations are not older.
constexpr double kServedS = 120;
constexpr double kSoonestS = 1;
// A receiver that has not sent its position for so long sends none.
constexpr double kReceiverSaysS = 600;
constexpr int kMaxStationId = 4095;

void append(std::vector<std::uint8_t>& out, ByteSpan bytes) {
  out.insert(out.end(), bytes.begin(), bytes.end());
}

rtcm::StationPosition station_position(const Broadcast& broadcast) {
  rtcm::StationPosition p;
  p.arp_m = broadcast.arp_m;
  p.antenna_height_m = broadcast.antenna_height_m;
  p.itrf_year = broadcast.itrf_year;
  return p;
}

bool same(const Broadcast& a, const Broadcast& b) {
  return a.arp_m.x_m == b.arp_m.x_m && a.arp_m.y_m == b.arp_m.y_m &&
         a.arp_m.z_m == b.arp_m.z_m &&
         a.antenna_height_m == b.antenna_height_m && a.itrf_year == b.itrf_year;
}

std::optional<Composer::ReceiverPosition> receiver_position_of(ByteSpan frame) {
  rtcm::RawStationPosition raw;
  if (!rtcm::decode_fields(rtcm::payload_of(frame), raw)) {
    return std::nullopt;
  }
  const rtcm::StationPosition p = rtcm::to_station_position(raw);
  return Composer::ReceiverPosition{.arp_m = p.arp_m,
                                    .antenna_height_m = p.antenna_height_m,
                                    .station_id = p.station_id,
                                    .type = raw.type,
                                    .single_oscillator = p.single_oscillator,
                                    .quarter_cycle = raw.quarter_cycle};
}

}  // namespace

Composer::Composer(ComposerOptions options) : options_(std::move(options)) {
  STILLPOINT_CHECK(
      !options_.station_id ||
      (*options_.station_id >= 0 && *options_.station_id <= kMaxStationId));
  options_.position_every_s = std::max(kSoonestS, options_.position_every_s);
  options_.notice_every_s = std::max(kSoonestS, options_.notice_every_s);
  drops_observations_ = std::any_of(
      options_.drop.begin(), options_.drop.end(), is_observation_type);
}

Status Composer::set_broadcast(std::optional<Broadcast> broadcast) {
  if (broadcast) {
    const auto frame = position_frame(station_position(*broadcast));
    if (!frame) {
      return fail(frame.error());
    }
  }
  if (broadcast.has_value() != broadcast_.has_value() ||
      (broadcast && !same(*broadcast, *broadcast_))) {
    broadcast_ = broadcast;
    position_changed_ = true;
  }
  return {};
}

void Composer::set_gate(bool observations, bool position) {
  if (!observations && !held_.empty()) {
    held_.clear();
    ++counts_.withheld;
  }
  position_changed_ = position_changed_ || (position && !position_);
  observations_ = observations;
  position_ = position;
}

void Composer::set_notice(std::string text) {
  text = fitting_text(text);
  if (text != notice_) {
    notice_ = std::move(text);
    notice_changed_ = true;
  }
}

bool Composer::is_dropped(int type) const {
  return std::find(options_.drop.begin(), options_.drop.end(), type) !=
         options_.drop.end();
}

void Composer::learn(ByteSpan frame, const FrameFacts& facts, double steady_s) {
  if (facts.station_id) {
    (facts.observation ? observed_id_ : other_id_) = facts.station_id;
  }
  if (facts.type == 1005 || facts.type == 1006) {
    if (auto position = receiver_position_of(frame)) {
      receiver_ = position;
      receiver_s_ = steady_s;
    }
  } else if (steady_s - receiver_s_ > kReceiverSaysS) {
    receiver_.reset();
  }
  if (facts.observation && !is_dropped(facts.type)) {
    seen_s_[static_cast<std::size_t>(facts.observation->system)] = steady_s;
  }
}

void Composer::on_frame(ByteSpan frame,
                        double steady_s,
                        std::optional<GnssTime> now,
                        std::vector<std::uint8_t>& out) {
  const FrameFacts facts = frame_facts(frame);
  begun_s_ = begun_s_.value_or(steady_s);
  learn(frame, facts, steady_s);
  // The same message of another epoch: the last of the run was lost.
  if (run_ && facts.observation && facts.type == run_->type &&
      facts.observation->epoch != run_->epoch) {
    run_.reset();
    let_go(true, out);
  }
  end_stale_run(steady_s, out);
  if (!run_) {
    insert(steady_s, now, out);
  }
  forward(frame, facts, out);
  follow_run(facts, steady_s);
  if (!run_) {
    let_go(true, out);
    insert(steady_s, now, out);
  }
}

void Composer::on_quiet(double steady_s,
                        std::optional<GnssTime> now,
                        std::vector<std::uint8_t>& out) {
  begun_s_ = begun_s_.value_or(steady_s);
  end_stale_run(steady_s, out);
  if (!run_) {
    insert(steady_s, now, out);
  }
}

void Composer::end_stale_run(double steady_s, std::vector<std::uint8_t>& out) {
  if (run_ && steady_s - run_->begun_s > kLongestRunS) {
    run_.reset();
    let_go(true, out);
  }
}

void Composer::follow_run(const FrameFacts& facts, double steady_s) {
  if (!facts.observation) {
    return;
  }
  if (!facts.observation->more_follows) {
    run_.reset();
    whole_epoch_ = true;
  } else if (!run_) {
    run_ = Run{facts.type, facts.observation->epoch, steady_s};
  }
}

void Composer::forward(ByteSpan frame,
                       const FrameFacts& facts,
                       std::vector<std::uint8_t>& out) {
  if (is_dropped(facts.type)) {
    ++counts_.dropped;
    return;
  }
  if ((facts.observation && !observations_) || (facts.position && !position_)) {
    ++counts_.withheld;
    return;
  }
  if (facts.position && broadcast_) {
    ++counts_.replaced;
    return;
  }
  const bool other_id = options_.station_id && facts.station_id &&
                        *facts.station_id != *options_.station_id;
  std::vector<std::uint8_t> changed;
  if (other_id) {
    changed = changed_frame(
        frame, facts, {.station_id = options_.station_id, .ends_epoch = false});
  }
  const ByteSpan leaves = other_id ? ByteSpan(changed) : frame;
  if (facts.observation && drops_observations_) {
    let_go(false, out);
    held_.assign(leaves.begin(), leaves.end());
    return;
  }
  append(out, leaves);
  ++counts_.passed;
}

void Composer::let_go(bool ends_epoch, std::vector<std::uint8_t>& out) {
  if (held_.empty()) {
    return;
  }
  const FrameFacts facts = frame_facts(held_);
  if (ends_epoch && facts.observation->more_follows) {
    append(out,
           changed_frame(
               held_, facts, {.station_id = std::nullopt, .ends_epoch = true}));
  } else {
    append(out, held_);
  }
  held_.clear();
  ++counts_.passed;
}

Composer::Tags Composer::tags(double steady_s) const {
  const auto served = [&](System system) {
    const auto& seen_s = seen_s_[static_cast<std::size_t>(system)];
    return seen_s && steady_s - *seen_s <= kServedS;
  };
  return {.station_id = options_.station_id.value_or(
              observed_id_.value_or(other_id_.value_or(0))),
          .gps = served(System::kGps),
          .glonass = served(System::kGlonass),
          .galileo = served(System::kGalileo)};
}

std::vector<std::uint8_t> Composer::own_position(const Tags& tags) const {
  rtcm::StationPosition p = station_position(*broadcast_);
  p.station_id = tags.station_id;
  p.gps = tags.gps;
  p.glonass = tags.glonass;
  p.galileo = tags.galileo;
  // Of the receiver's make, which it alone knows.
  if (receiver_) {
    p.single_oscillator = receiver_->single_oscillator;
    p.quarter_cycle = static_cast<rtcm::QuarterCycle>(receiver_->quarter_cycle);
  }
  auto frame = position_frame(p);
  STILLPOINT_CHECK(frame.has_value());  // set_broadcast() has tried it
  return std::move(*frame);
}

bool Composer::position_due(const Tags& tags, double steady_s) const {
  if (!broadcast_ || !position_ || !begun_s_ ||
      (!whole_epoch_ && steady_s - *begun_s_ < options_.position_every_s)) {
    return false;
  }
  if (position_changed_ || !position_s_) {
    return true;
  }
  const double since_s = steady_s - *position_s_;
  return since_s >= options_.position_every_s ||
         (since_s >= kSoonestS && !(tags == sent_));
}

void Composer::insert(double steady_s,
                      std::optional<GnssTime> now,
                      std::vector<std::uint8_t>& out) {
  const Tags own = tags(steady_s);
  if (position_due(own, steady_s)) {
    append(out, own_position(own));
    position_s_ = steady_s;
    position_changed_ = false;
    sent_ = own;
    ++counts_.inserted;
  }
  if (notice_.empty() || !now) {
    return;
  }
  const double since_s =
      notice_s_ ? steady_s - *notice_s_ : options_.notice_every_s;
  if (since_s >= options_.notice_every_s ||
      (notice_changed_ && since_s >= kSoonestS)) {
    append(out, text_frame(own.station_id, notice_, *now));
    notice_s_ = steady_s;
    notice_changed_ = false;
    ++counts_.inserted;
  }
}

}  // namespace stillpoint::compose
