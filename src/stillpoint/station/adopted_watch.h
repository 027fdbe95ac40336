// The adopted position record as the rest of the station wants it, read from
// station.db again and again: whoever adopts, on the console or by the command
// line, a running station follows within seconds.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/compose/composer.h"
#include "stillpoint/core/log.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/report/candidates_compare.h"
#include "stillpoint/store/store.h"

namespace stillpoint::station {

// A record ready to be sent.
struct SentPosition {
  std::int64_t record = 0;
  compose::Broadcast broadcast;
  double sigma_h_m = 0, sigma_v_m = 0;
  std::string method;
};

struct AdoptedFacts {
  std::optional<SentPosition> adopted;
  // The best candidate, for stations that may send one before adoption.
  std::optional<SentPosition> best;
  std::optional<double> best_sigma_m;  // three-dimensional, not by hand
  std::optional<double> plate_motion_m, candidate_apart_m;
};

// Marker or reference point of a record to what a 1005 or 1006 says.
//
//   threads  pure
SentPosition sent_position(const StoredRecord& stored);

//   threads  one
class AdoptedWatch {
 public:
  // `store` outlives it.
  //
  //   now   of the data: plates have moved up to then
  AdoptedWatch(Store& store, std::function<GnssTime()> now, Logger log);

  // Reads what is new; to be called as often as one likes.
  //
  //   returns  whether there was something
  bool look();
  // At the next look() everything is read again.
  void look_again() { seen_.reset(); }

  [[nodiscard]] const AdoptedFacts& facts() const { return facts_; }
  [[nodiscard]] const report::CandidateTable& table() const { return table_; }

 private:
  struct Seen {
    std::int64_t records = 0, adoptions = 0;
    std::int64_t hour = 0;  // of the clock: plates move
    friend bool operator==(const Seen&, const Seen&) = default;
  };
  Status read(const Seen& seen);

  Store& store_;
  const std::function<GnssTime()> now_;
  const Logger log_;
  std::optional<Seen> seen_;
  bool failed_ = false;
  AdoptedFacts facts_;
  report::CandidateTable table_;
};

}  // namespace stillpoint::station
