// Puts the GSV sentences of one talker and signal together. Groups of several
// talkers may come mixed; within one, sentences come in order.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/nmea/sentence.h"

namespace stillpoint::nmea {

struct GsvGroup {
  std::string talker;
  std::optional<int> signal_id;
  std::optional<int> satellites_in_view;  // as the first sentence has it
  std::vector<SatelliteInView> satellites;
};

class GsvGroups {
 public:
  // Open groups, and satellites of each, are bounded by these: a new group
  // then takes the place of the one that waits longest.
  static constexpr std::size_t kMaxOpen = 32;
  static constexpr int kMaxSentences = 32;

  // The whole group, when this sentence completes it. A sentence with index 1
  // starts anew; one that is not the next of its group drops it.
  std::optional<GsvGroup> add(const Gsv& sentence);

  // Groups that were begun and dropped, and sentences that belong to none.
  [[nodiscard]] std::uint64_t incomplete() const { return incomplete_; }

 private:
  struct Open {
    GsvGroup group;
    int total = 0, next = 0;
  };
  std::vector<Open>::iterator find(const Gsv& sentence);
  void drop(std::vector<Open>::iterator open);

  std::vector<Open> open_;  // oldest first
  std::uint64_t incomplete_ = 0;
};

}  // namespace stillpoint::nmea
