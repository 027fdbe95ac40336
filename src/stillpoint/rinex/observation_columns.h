// From the types of a header to signals, and from columns to rows of an Epoch.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rinex/observation_header.h"

namespace stillpoint::rinex {

// Safety limits far above what the tables of the standard can fill.
inline constexpr std::size_t kMaxColumns = 256;
inline constexpr std::size_t kMaxSignals = 64;

// Column of a version 3 or 4 type, "C1C". Types without a kind we use ("I1C",
// "X1") and odd texts are kOther.
//
//   source   RINEX 4.02, tables of observation codes; BeiDou B1I was written
//            C1x in version 3.02 only (shared checks, section 7)
Column column_of_type3(System system, std::string_view code, double version);

// Columns of a version 2 list, which does not say the tracking code:
//
//   GPS       C1 1C, P1 1W, C2 2X, P2 2W, C5 5X
//   GLONASS   C1 1C, P1 1P, C2 2C, P2 2P, C3 3X
//   SBAS      C1 1C, C5 5I
//   Galileo   C1 1X, C5 5X, C6 6X, C7 7X, C8 8X
//   BeiDou    C1 and C2 2I, C6 6I, C7 7I, C5 5X
//   QZSS      C1 1C, C2 2X, C5 5X, C6 6X;   NavIC C5 5A, C9 9A
//   2.12      CA 1C, CB 1X, CC 2X, CD 2C (from memory)
//
// L, D and S of band 1 belong to C1's signal if C1 is in the list, else to
// P1's; those of band 2 to P2's if P2 is in the list, else to C2's.
//
//   source   RINEX 2.11, section 4.1 and table A1 name the observables only;
//            the attributes are common practice, no source
std::vector<Column> columns_of_types2(System system,
                                      std::span<const std::string> types);

// Where a column's number goes.
struct ColumnPlan {
  double Observation::*value = nullptr;  // nullptr: parsed over
  std::uint64_t slot_bit = 0;
  std::uint8_t slot = 0;
  Kind kind = Kind::kOther;
  bool plain = false;  // has a value and no scale factor
  double scale = 1;
};

// Everything needed to fill the rows of one system's satellite.
struct RowPlan {
  std::vector<ColumnPlan> columns;
  std::vector<Observation> blank_rows;  // one per signal, nothing measured
};

RowPlan make_row_plan(const std::vector<Column>& columns);

// Rows of one satellite being filled, in place at the end of the epoch's. A
// row begins with the first value of its signal.
class RowFiller {
 public:
  RowFiller(Epoch& epoch, const RowPlan& plan)
      : rows_(epoch.observations),
        satellites_(epoch.satellites),
        plan_(plan),
        first_(epoch.observations.size()) {
    // Room for all, so that rows stay where they are.
    const std::size_t room = first_ + plan.blank_rows.size();
    if (rows_.capacity() < room) {
      rows_.reserve(2 * room);
    }
  }

  // lli, strength: 0..9.
  void set(const ColumnPlan& column, double value, int lli, int strength) {
    if (!column.plain) {
      if (column.value == nullptr) {
        return;
      }
      value /= column.scale;
    }
    if ((begun_ & column.slot_bit) == 0) {
      begun_ |= column.slot_bit;
      rows_.push_back(plan_.blank_rows[column.slot]);
      begun_rows_[column.slot] = &rows_.back();
    }
    Observation& row = *begun_rows_[column.slot];
    row.*column.value = value;
    if (column.kind == Kind::kPhase) {
      row.lli = static_cast<std::uint8_t>(lli);
      row.phase_strength = static_cast<std::uint8_t>(strength);
    } else if (column.kind == Kind::kCode) {
      row.code_strength = static_cast<std::uint8_t>(strength);
    }
  }

  // Forgets the satellite.
  void drop() { rows_.resize(first_); }
  // Adds the satellite to the epoch unless nothing was measured.
  void keep(SatId sat) {
    if (begun_ != 0) {
      satellites_.push_back(
          SatRows{sat,
                  static_cast<std::uint16_t>(rows_.size() - first_),
                  static_cast<std::uint32_t>(first_)});
    }
  }

 private:
  std::vector<Observation>& rows_;
  std::vector<SatRows>& satellites_;
  const RowPlan& plan_;
  std::size_t first_;
  std::uint64_t begun_ = 0;
  std::array<Observation*, kMaxSignals> begun_rows_;  // by slot, once begun
};

}  // namespace stillpoint::rinex
