// The station's verdict about itself, judged once a second, and what follows
// from it for rovers.
#pragma once

#include <chrono>
#include <deque>
#include <optional>
#include <string>

#include "stillpoint/api/console/views.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/core/log.h"
#include "stillpoint/station/adopted_watch.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/decode_path.h"
#include "stillpoint/station/open_since.h"
#include "stillpoint/station/raw_path.h"
#include "stillpoint/trust/trust.h"

namespace stillpoint::station {

// What rovers are sent at present, for the console.
struct SentFacts {
  api::BroadcastKind kind = api::BroadcastKind::kNone;
  std::optional<std::int64_t> record;
  std::optional<Ecef> arp_m;
  std::optional<int> type;
  std::string notice;
  compose::ComposerCounts counts;
};

//   threads  one: that of the receiver
class TrustWatch {
 public:
  // All outlive it.
  TrustWatch(RawPath& raw, Clocks clocks, Chronicle& chronicle, Logger log);

  // Judges and sets the composer. Once a second.
  void look(const api::StationStatus& status,
            const DecodedFacts& decoded,
            const AdoptedFacts& adopted,
            const config::TrustSection& settings);

  [[nodiscard]] const trust::Verdict& verdict() const { return verdict_; }
  [[nodiscard]] SentFacts sent() const;

 private:
  // How the last ten minutes and the last day were.
  struct Count {
    std::chrono::nanoseconds at{0};
    std::uint64_t received = 0, missed = 0;
  };
  std::optional<double> missed_share(const api::StationStatus& status,
                                     std::chrono::nanoseconds now);
  std::optional<double> usual_cn0(std::optional<double> cn0_dbhz,
                                  std::chrono::nanoseconds now);
  trust::Inputs inputs(const api::StationStatus& status,
                       const DecodedFacts& decoded,
                       const AdoptedFacts& adopted);
  void send(const AdoptedFacts& adopted,
            const DecodedFacts& decoded,
            const config::TrustSection& settings);
  void tell(const trust::Verdict& before);

  RawPath& raw_;
  const Clocks clocks_;
  Chronicle& chronicle_;
  const Logger log_;
  trust::Memory memory_;
  trust::Verdict verdict_;
  bool judged_ = false;
  SentFacts sent_;
  std::int64_t record_ = 0;  // that is adopted, and since when it is known
  std::chrono::nanoseconds record_at_{0};
  OpenSince open_since_;
  std::deque<Count> counts_;
  std::deque<double> strengths_;  // of minutes, a day at most
  std::chrono::nanoseconds strength_at_{0};
};

}  // namespace stillpoint::station
