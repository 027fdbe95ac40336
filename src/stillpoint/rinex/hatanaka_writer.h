// Epochs to the lines of Hatanaka compression 1.0 and 3.0: differences of third
// order, text by the characters that change. The reverse is hatanaka_core.h.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/rinex/observation_writer_rows.h"

namespace stillpoint::rinex {

// Appends the characters that make `after` of `reference`: blank keeps, '&'
// makes blank, without blanks at the end; the reverse of repair_text(). A blank
// behind the reference's end is an '&' too: readers may take a plain blank
// there for nothing at all (compressed files have it so, see
// tests/vectors/zimm_2019.crx). `reference` becomes what a reader then has.
void append_text_difference(std::string& to,
                            std::string& reference,
                            std::string_view after);

// One column's differences.
class DifferenceChain {
 public:
  static constexpr int kOrder = 3;

  void end() { reached_ = -1; }
  // True for the first value of an arc, which is written as it is.
  [[nodiscard]] bool fresh() const { return reached_ < 0; }
  // The number to write for the next value: the highest difference that the
  // values so far allow, up to kOrder.
  std::int64_t next(std::int64_t value) {
    if (reached_ < kOrder) {
      ++reached_;
    }
    std::int64_t difference = value;
    for (int i = 0; i < reached_; ++i) {
      const std::int64_t before =
          std::exchange(levels_[static_cast<std::size_t>(i)], difference);
      difference -= before;
    }
    if (reached_ < kOrder) {
      levels_[static_cast<std::size_t>(reached_)] = difference;
    }
    return difference;
  }

 private:
  // Value, first, second difference of the value before.
  std::array<std::int64_t, kOrder> levels_{};
  int reached_ = -1;
};

class HatanakaWriter {
 public:
  // version: 1 (RINEX 2) or 3 (RINEX 3 and 4).
  explicit HatanakaWriter(int version) : version_(version) {}

  // Appends the lines of one epoch.
  //
  //   source   Hatanaka, "A Compression Format and Tools for GNSS Observation
  //            Data", Bulletin of the GSI 55 (2008); rules in shared checks
  //            section 7
  void append(const EpochRecord& record, std::string& out);

 private:
  struct Satellite {
    std::uint64_t epoch = 0;  // last one it was in
    std::vector<DifferenceChain> chains;
    std::string flags;
  };

  void append_head(const EpochRecord& record, std::string& out);
  void append_satellite(const EpochRecord& record,
                        const EpochRecord::Satellite& satellite,
                        std::string& out);

  int version_;
  std::uint64_t epoch_ = 1;
  std::string head_, last_head_;  // the latter as a reader has it
  DifferenceChain clock_;
  std::vector<Satellite> satellites_{
      static_cast<std::size_t>(SatId::kIndexCount)};
};

}  // namespace stillpoint::rinex
