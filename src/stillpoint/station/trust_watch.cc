#include "stillpoint/station/trust_watch.h"

#include <algorithm>
#include <utility>
#include <vector>

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

constexpr nanoseconds kMissedWindow = std::chrono::minutes{10};
// So long a receiver may take to be told the adopted coordinate and to send it.
constexpr nanoseconds kToldWithin = std::chrono::seconds{15};
constexpr std::uint64_t kFewestEpochs = 10;
constexpr std::size_t kMinutesOfDay = 1440, kFewestMinutes = 5;

// The mean of code ranges as a coordinate to send while nothing is adopted.
compose::Broadcast broadcast_of(const solve::LiveFix& fix) {
  return {fix.antenna_m, std::nullopt, 0};
}

double largest(const std::array<double, 3>& sigma) {
  return std::max({sigma[0], sigma[1], sigma[2]});
}

}  // namespace

TrustWatch::TrustWatch(RawPath& raw,
                       Clocks clocks,
                       Chronicle& chronicle,
                       Logger log)
    : raw_(raw),
      clocks_(std::move(clocks)),
      chronicle_(chronicle),
      log_(std::move(log)) {
  // Until the first verdict: no coordinate leaves that nobody stands for.
  raw_.composer().set_gate(true, false);
}

void TrustWatch::look(const api::StationStatus& status,
                      const DecodedFacts& decoded,
                      const AdoptedFacts& adopted,
                      const config::TrustSection& settings) {
  const trust::Verdict before = verdict_;
  verdict_ = trust::judge(inputs(status, decoded, adopted), memory_);
  send(adopted, decoded, settings);
  if (!judged_ || before.state != verdict_.state) {
    tell(before);
  }
  judged_ = true;
}

std::optional<double> TrustWatch::missed_share(const api::StationStatus& status,
                                               nanoseconds now) {
  const api::DecodeStatus& decode = status.decode;
  counts_.push_back({now, decode.epochs_received, decode.epochs_missed});
  while (now - counts_.front().at > kMissedWindow) {
    counts_.pop_front();
  }
  const std::uint64_t received =
      decode.epochs_received - counts_.front().received;
  const std::uint64_t missed = decode.epochs_missed - counts_.front().missed;
  if (received + missed < kFewestEpochs) {
    return std::nullopt;
  }
  return static_cast<double>(missed) / static_cast<double>(received + missed);
}

// The median of the minutes of a day.
std::optional<double> TrustWatch::usual_cn0(std::optional<double> cn0_dbhz,
                                            nanoseconds now) {
  if (cn0_dbhz && now - strength_at_ >= std::chrono::minutes{1}) {
    strength_at_ = now;
    strengths_.push_back(*cn0_dbhz);
    if (strengths_.size() > kMinutesOfDay) {
      strengths_.pop_front();
    }
  }
  if (strengths_.size() < kFewestMinutes) {
    return std::nullopt;
  }
  std::vector<double> sorted(strengths_.begin(), strengths_.end());
  const auto middle =
      sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  return *middle;
}

trust::Inputs TrustWatch::inputs(const api::StationStatus& status,
                                 const DecodedFacts& decoded,
                                 const AdoptedFacts& adopted) {
  const nanoseconds now = clocks_.steady();
  trust::Inputs in;
  in.now = clocks_.wall();
  if (adopted.adopted) {
    const SentPosition& sent = *adopted.adopted;
    trust::Inputs::Adopted facts;
    facts.record = sent.record;
    facts.sigma_h_m = sent.sigma_h_m;
    facts.sigma_v_m = sent.sigma_v_m;
    facts.plate_motion_m = adopted.plate_motion_m;
    facts.candidate_apart_m = adopted.candidate_apart_m;
    if (record_ != sent.record) {
      record_ = sent.record;
      record_at_ = now;
    }
    const auto& own = raw_.composer().receiver_position();
    if (own && now - record_at_ >= kToldWithin) {
      facts.receiver_apart_m = norm(own->arp_m - sent.broadcast.arp_m);
    }
    if (decoded.fix) {
      facts.code_apart_m = decoded.fix->distance_m(sent.broadcast.arp_m);
      facts.code_sigma_m = largest(decoded.fix->sigma_enu_m);
    }
    in.adopted = facts;
  }
  in.source_open = status.receiver.state == api::ReceiverState::kOpen ||
                   status.receiver.state == api::ReceiverState::kSilent;
  in.source_open_s = open_since_.look(in.source_open, now);
  in.last_epoch_age_s = status.decode.last_epoch_age_s;
  in.silence_s = status.receiver.silence_s;
  in.epochs_missed_share = missed_share(status, now);
  in.satellites = decoded.satellites;
  in.cn0_mean_dbhz = decoded.cn0_mean_dbhz;
  in.cn0_usual_dbhz = usual_cn0(decoded.cn0_mean_dbhz, now);
  in.disk_writes = status.archive.state != api::ArchiveState::kCannotWrite;
  if (status.archive.disk_free_bytes && status.archive.leave_free_bytes > 0) {
    in.free_share_of_limit =
        static_cast<double>(*status.archive.disk_free_bytes) /
        static_cast<double>(status.archive.leave_free_bytes);
  }
  in.clock_offset_s = status.process.clock_offset_s;
  return in;
}

void TrustWatch::send(const AdoptedFacts& adopted,
                      const DecodedFacts& decoded,
                      const config::TrustSection& settings) {
  const trust::Gate gate =
      trust::gate(verdict_.state,
                  settings.provisional,
                  settings.withhold == config::Withhold::kAll);
  compose::Composer& composer = raw_.composer();
  std::optional<compose::Broadcast> broadcast;
  std::optional<double> sigma_m;
  SentFacts sent;
  if (adopted.adopted) {
    broadcast = adopted.adopted->broadcast;
    sent.record = adopted.adopted->record;
    sent.kind = api::BroadcastKind::kAdopted;
  } else if (gate.provisional && adopted.best) {
    broadcast = adopted.best->broadcast;
    sigma_m = std::max(adopted.best->sigma_h_m, adopted.best->sigma_v_m);
    sent.record = adopted.best->record;
    sent.kind = api::BroadcastKind::kProvisional;
  } else if (gate.provisional && decoded.fix) {
    broadcast = broadcast_of(*decoded.fix);
    sigma_m = largest(decoded.fix->sigma_enu_m);
    sent.kind = api::BroadcastKind::kProvisional;
  }
  if (const Status set = composer.set_broadcast(broadcast); !set) {
    log_.log(LogLevel::kError,
             "the coordinate cannot be sent",
             {{"why", set.error().text()}});
    broadcast.reset();
  }
  // Nothing of the receiver's own stands in for what is not there.
  const bool position = gate.position && broadcast.has_value();
  composer.set_gate(gate.observations, position);
  sent.notice = trust::notice_text(verdict_, gate, sigma_m);
  composer.set_notice(sent.notice);
  if (position) {
    sent.arp_m = broadcast->arp_m;
    sent.type = broadcast->antenna_height_m ? 1006 : 1005;
  } else {
    sent.kind = api::BroadcastKind::kNone;
    sent.record.reset();
  }
  sent_ = std::move(sent);
}

SentFacts TrustWatch::sent() const {
  SentFacts sent = sent_;
  sent.counts = raw_.composer().counts();
  return sent;
}

void TrustWatch::tell(const trust::Verdict& before) {
  const std::string text = trust::sentence(verdict_, clocks_.wall());
  const char* was = judged_ ? trust::state_name(before.state) : "none";
  log_.log(LogLevel::kInfo,
           "the station's trust",
           {{"state", trust::state_name(verdict_.state)},
            {"before", was},
            {"says", text}});
  chronicle_.tell(LogKind::kTrustChanged,
                  text,
                  {{"state", std::string(trust::state_name(verdict_.state))},
                   {"before", std::string(was)}});
}

}  // namespace stillpoint::station
