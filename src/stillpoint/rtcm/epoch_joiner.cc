#include "stillpoint/rtcm/epoch_joiner.h"

namespace stillpoint::rtcm {

void EpochJoiner::emit() {
  if (!builder_.started()) {
    return;
  }
  builder_.end();
  said_complete_ = false;
  if (!builder_.empty()) {
    emit_(builder_.epoch(), station_id_);
  }
}

EpochBuilder& EpochJoiner::open(GnssTime time, int station_id) {
  if (builder_.started()) {
    const bool same = builder_.time() == time && station_id_ == station_id;
    if (same && said_complete_) {
      bit_ = Bit::kWrong;
    }
    if (!same) {
      if (said_complete_ && bit_ == Bit::kUnknown) {
        bit_ = Bit::kGood;
      }
      emit();
    }
  }
  if (!builder_.started()) {
    builder_.begin(time);
    station_id_ = station_id;
  }
  return builder_;
}

void EpochJoiner::close(bool more, std::optional<GnssTime> received) {
  since_ = received;
  said_complete_ = said_complete_ || !more;
  if (!more && bit_ == Bit::kGood) {
    emit();
  }
}

void EpochJoiner::tick(GnssTime received, double timeout_s) {
  if (since_ && (received - *since_).s >= timeout_s) {
    emit();
  }
}

}  // namespace stillpoint::rtcm
