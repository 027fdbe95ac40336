// The week of a stream: observation messages carry the time of the week (or
// of the GLONASS day) only.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::rtcm {

// Tells the week from the day that somebody named, else from the ephemerides
// in the stream, else from the receive time; until something does, epochs
// count from a week of their own and are moved when it is found.
class WeekFinder {
 public:
  // day:  an instant of the day of the data, when somebody named it
  explicit WeekFinder(std::optional<GnssTime> day) : day_(day) {}

  // Receive time of the bytes at hand; no more than a hint.
  void received(GnssTime t) { received_ = t; }

  // An instant near the next epoch.
  [[nodiscard]] GnssTime near() const;
  // An instant to resolve ten-bit weeks by; `otherwise` where nothing better
  // is known.
  [[nodiscard]] GnssTime era(GnssTime otherwise) const;
  // The week is known (else epochs count from a week of their own).
  [[nodiscard]] bool known() const;

  void epoch(GnssTime t) { last_ = t; }
  // An instant near the reception of an ephemeris that was sent in this GPS
  // week; nothing where the message does not tell.
  [[nodiscard]] GnssTime near_ephemeris(std::optional<int> week) const;
  // An ephemeris sent in this GPS week came by. `whole`: the week stood in the
  // message whole, not modulo 1024.
  //
  //   returns  by how many weeks the epochs so far must move, mostly 0
  int ephemeris(int week, bool whole);

 private:
  // Votes for a shift of the epochs as they were at first.
  using Votes = std::vector<std::pair<int, int>>;
  [[nodiscard]] int winner() const;

  std::optional<GnssTime> day_, received_, last_;
  std::optional<int> early_;  // week of an ephemeris before any epoch
  bool early_whole_ = false;
  bool by_ephemeris_ = false;
  std::optional<int> whole_;  // the last whole week
  Votes whole_votes_, ten_bit_votes_;
  int applied_ = 0;
};

}  // namespace stillpoint::rtcm
