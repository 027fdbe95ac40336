// What has to be known of a period before its file can be begun.
#pragma once

#include <array>
#include <bitset>
#include <cstdint>
#include <map>
#include <optional>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/intake/export/epoch_order.h"
#include "stillpoint/intake/export/period.h"
#include "stillpoint/intake/export/station_facts.h"
#include "stillpoint/rinex/observation_header.h"

namespace stillpoint::intake {

// Epochs of one kind, MSM or the messages before it.
class EpochFacts {
 public:
  void add(const RecordedEpoch& recorded);

  [[nodiscard]] std::uint64_t count() const { return count_; }
  [[nodiscard]] GnssTime first() const { return first_; }
  [[nodiscard]] GnssTime last() const { return last_; }
  // The step that is most frequent; nothing for a single epoch.
  [[nodiscard]] std::optional<double> interval_s() const;
  // By band and letter; of each signal the kinds of values that came.
  [[nodiscard]] std::vector<rinex::Column> columns(System system) const;
  [[nodiscard]] std::vector<SatId> satellites(System system) const;
  [[nodiscard]] const std::vector<StreamRange>& bytes() const { return bytes_; }

 private:
  std::uint64_t count_ = 0;
  GnssTime first_, last_;
  std::map<std::int64_t, std::uint64_t> steps_ms_;  // how often each
  // Bits of the kinds of values, by band digit and letter.
  static constexpr std::size_t kLetters = 26;
  using Signals = std::array<std::uint8_t, 10 * kLetters>;
  std::array<Signals, kSystemCount> signals_{};
  std::bitset<SatId::kIndexCount> satellites_;
  std::vector<StreamRange> bytes_;
};

struct PeriodFacts {
  EpochFacts msm, legacy;
  StationFacts station;  // as last said in the period, else after it

  // MSM where there is any; receivers may send every epoch both ways.
  [[nodiscard]] const EpochFacts& epochs() const {
    return msm.count() > 0 ? msm : legacy;
  }
  [[nodiscard]] bool is_legacy() const { return msm.count() == 0; }
};

using FactsByPeriod = std::map<Period, PeriodFacts>;

}  // namespace stillpoint::intake
