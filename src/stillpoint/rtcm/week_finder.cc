#include "stillpoint/rtcm/week_finder.h"

#include <algorithm>

namespace stillpoint::rtcm {
namespace {

constexpr double kWeekS = 604'800;
constexpr std::size_t kMostShifts = 64;  // a stream that claims more is noise
// Where epochs count from while nothing is known: any week after the last leap
// second will do.
constexpr int kOwnWeek = 2400;

GnssTime middle_of(int week) {
  return GnssTime::from_gps_week(week, kWeekS / 2);
}

}  // namespace

GnssTime WeekFinder::near() const {
  if (last_) {
    return *last_;
  }
  if (day_) {
    return *day_;
  }
  if (early_) {
    return middle_of(*early_);
  }
  return received_ ? *received_ : middle_of(kOwnWeek);
}

GnssTime WeekFinder::era(GnssTime otherwise) const {
  if (day_) {
    return *day_;
  }
  if (whole_) {
    return middle_of(*whole_);
  }
  return received_ ? *received_ : otherwise;
}

bool WeekFinder::known() const {
  return day_ || received_ || by_ephemeris_;
}

int WeekFinder::winner() const {
  const Votes& votes = whole_votes_.empty() ? ten_bit_votes_ : whole_votes_;
  const auto best = std::max_element(
      votes.begin(), votes.end(), [](const auto& a, const auto& b) {
        return a.second < b.second;  // the first of equals stays
      });
  return best == votes.end() ? applied_ : best->first;
}

GnssTime WeekFinder::near_ephemeris(std::optional<int> week) const {
  if (day_ || !week) {
    return near();
  }
  const auto now = last_ ? last_ : received_;
  return now ? GnssTime::from_gps_week(*week, now->tow_s()) : middle_of(*week);
}

int WeekFinder::ephemeris(int week, bool whole) {
  if (day_) {
    return 0;
  }
  if (whole) {
    whole_ = week;
  }
  by_ephemeris_ = true;
  if (!last_) {
    if (!early_ || (whole && !early_whole_)) {
      early_ = week;
      early_whole_ = whole;
    }
    return 0;
  }
  const int shift = applied_ + week - last_->week();
  Votes& votes = whole ? whole_votes_ : ten_bit_votes_;
  const auto known = std::find_if(
      votes.begin(), votes.end(), [&](auto& v) { return v.first == shift; });
  if (known != votes.end()) {
    ++known->second;
  } else if (votes.size() < kMostShifts) {
    votes.emplace_back(shift, 1);
  }
  const int move = winner() - applied_;
  applied_ += move;
  last_ = *last_ + Duration{move * kWeekS};
  return move;
}

}  // namespace stillpoint::rtcm
