#include "stillpoint/station/adopted_watch.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/datum/itrf_carry.h"
#include "stillpoint/report/record_points.h"

namespace stillpoint::station {
namespace {

constexpr std::int64_t kHourNs = 3600LL * 1'000'000'000;

}  // namespace

SentPosition sent_position(const StoredRecord& stored) {
  const PositionRecord& record = stored.record;
  const FramedPosition arp = report::arp_of(record);
  const auto sigma = report::sigma_enu_m(arp);
  SentPosition sent;
  sent.record = stored.id;
  sent.method = record.method;
  sent.broadcast.arp_m = arp.ecef;
  // A record that knows nothing of the antenna's mount says no height.
  const bool mounted = record.position.point == Point::kMarker ||
                       record.delta_enu_m != std::array<double, 3>{};
  if (mounted && record.delta_enu_m[2] >= 0) {
    sent.broadcast.antenna_height_m = record.delta_enu_m[2];
  }
  sent.sigma_h_m = std::max(sigma[0], sigma[1]);
  sent.sigma_v_m = sigma[2];
  return sent;
}

AdoptedWatch::AdoptedWatch(Store& store,
                           std::function<GnssTime()> now,
                           Logger log)
    : store_(store), now_(std::move(now)), log_(std::move(log)) {}

bool AdoptedWatch::look() {
  auto newest = store_.positions().newest();
  if (!newest) {
    if (!std::exchange(failed_, true)) {
      log_.log(LogLevel::kError,
               "position records cannot be read; the station goes on with what "
               "it knows",
               {{"why", newest.error().text()}});
    }
    return false;
  }
  const Seen seen{newest->record, newest->adoption, now_().ns() / kHourNs};
  if (seen == seen_) {
    return false;
  }
  if (const Status done = read(seen); !done) {
    if (!std::exchange(failed_, true)) {
      log_.log(LogLevel::kError,
               "position records cannot be read; the station goes on with what "
               "it knows",
               {{"why", done.error().text()}});
    }
    return false;
  }
  failed_ = false;
  return true;
}

Status AdoptedWatch::read(const Seen& seen) {
  auto records = store_.positions().list();
  if (!records) {
    return fail(std::move(records.error()));
  }
  auto adoptions = store_.positions().adoptions();
  if (!adoptions) {
    return fail(std::move(adoptions.error()));
  }
  report::CandidateQuestion question;
  question.now = now_();
  if (!adoptions->empty()) {
    question.adopted = adoptions->front().record;
  }
  table_ = report::compare_records(*records, question);
  facts_ = {};
  facts_.candidate_apart_m = report::candidate_apart_m(table_);
  for (const StoredRecord& stored : *records) {
    if (stored.id == question.adopted) {
      facts_.adopted = sent_position(stored);
      facts_.plate_motion_m =
          plate_motion_since(stored.record.position, *question.now);
    }
    if (stored.id == table_.best) {
      facts_.best = sent_position(stored);
      facts_.best_sigma_m = report::sigma_3d_m(stored.record.position);
    }
  }
  seen_ = seen;
  return ok();
}

}  // namespace stillpoint::station
