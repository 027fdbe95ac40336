// The difference coding of Hatanaka compression 1.0 and 3.0: lines in, whole
// numbers and text out. Knows nothing of files; the reader of epochs and the
// restorer of text stand on it.
//
//   source   Hatanaka, "A Compression Format and Tools for GNSS Observation
//            Data", Bulletin of the GSI 55 (2008); rules in shared checks
//            section 7
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/gnss/satellite.h"
#include "stillpoint/rinex/epoch_head.h"

namespace stillpoint::rinex {

// Text by differences: blank keeps a character, '&' makes it a blank, any other
// replaces it. Grows with the longer one.
void repair_text(std::string& text, std::string_view difference);

// One column's chain of differences.
class DifferenceArc {
 public:
  static constexpr int kMaxOrder = 9;

  [[nodiscard]] bool active() const { return order_ >= 0; }
  void end() { order_ = -1; }
  // order: 0 .. kMaxOrder.
  void begin(int order, std::int64_t value) {
    order_ = order;
    reached_ = 0;
    levels_[0] = static_cast<std::uint64_t>(value);
  }
  // The next value from the highest difference available. Wraps around instead
  // of overflowing; damaged files get that far.
  std::int64_t next(std::int64_t difference) {
    if (reached_ < order_) {
      ++reached_;
    }
    auto sum = static_cast<std::uint64_t>(difference);
    if (reached_ == 0) {
      levels_[0] = sum;
      return difference;
    }
    for (int i = reached_; i > 0; --i) {
      const auto at = static_cast<std::size_t>(i);
      levels_[at] = sum;
      sum += levels_[at - 1];
    }
    levels_[0] = sum;
    return static_cast<std::int64_t>(sum);
  }

 private:
  std::array<std::uint64_t, kMaxOrder + 1> levels_{};
  int order_ = -1;
  int reached_ = 0;
};

class HatanakaCore {
 public:
  // In values(): the column was not measured.
  static constexpr std::int64_t kAbsent =
      std::numeric_limits<std::int64_t>::min();

  // version: 1 (RINEX 2) or 3 (RINEX 3 and 4).
  explicit HatanakaCore(int version) : version_(version) {}

  // True for a line that starts afresh, without reference to earlier ones.
  [[nodiscard]] bool is_start(std::string_view line) const {
    return !line.empty() && line[0] == (version_ == 1 ? '&' : '>');
  }

  // Takes an epoch line (or the first line of an event) and fills `head`, its
  // clock excepted. nullptr when good, else what is wrong; then only an
  // is_start() line can follow.
  const char* take_head(std::string_view line,
                        EpochHeadParser& parser,
                        EpochHead& head);
  // The line as RINEX has it, satellites of all on one line.
  [[nodiscard]] const std::string& head_text() const;
  // Three characters; i below the head's count.
  [[nodiscard]] std::string_view satellite_text(int i) const;

  // Takes the receiver clock's line that follows each epoch line. nullptr when
  // good.
  const char* take_clock(std::string_view line);
  // Units of clock_unit_per_s() of a second.
  [[nodiscard]] std::optional<std::int64_t> clock() const { return clock_; }
  [[nodiscard]] double clock_units_per_s() const {
    return version_ == 1 ? 1e9 : 1e12;
  }

  // Takes the line of one satellite with `columns` columns. nullptr when good.
  // A satellite whose line was bad stays lost(), also for later lines, until
  // it has been away for an epoch or an is_start() line comes.
  const char* take_satellite(SatId sat,
                             std::size_t columns,
                             std::string_view line);
  [[nodiscard]] bool lost() const { return current_->lost; }
  // Of the satellite taken last: thousandths or kAbsent by column, and two
  // flag characters a column.
  [[nodiscard]] const std::vector<std::int64_t>& values() const {
    return values_;
  }
  [[nodiscard]] const std::string& flags() const { return current_->flags; }

  // Forgets everything: only an is_start() line of an epoch can follow.
  void forget() { epoch_text_.clear(); }

 private:
  struct Satellite {
    std::uint64_t epoch = 0;  // last one it was in
    std::vector<DifferenceArc> arcs;
    std::string flags;
    bool lost = false;
  };

  // Makes every satellite's differences begin anew.
  void forget_satellites() { epoch_ += 2; }
  const char* decode(Satellite& satellite, std::string_view line);

  int version_;
  std::uint64_t epoch_ = 1;
  std::string epoch_text_;  // reference of the next epoch line
  std::string event_text_;
  bool is_event_ = false;
  std::optional<GnssTime> last_time_;
  DifferenceArc clock_arc_;
  std::optional<std::int64_t> clock_;
  std::vector<Satellite> satellites_{
      static_cast<std::size_t>(SatId::kIndexCount)};
  std::vector<std::int64_t> values_;
  Satellite* current_ = nullptr;
};

}  // namespace stillpoint::rinex
