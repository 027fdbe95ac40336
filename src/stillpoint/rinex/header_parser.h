// Header lines of an observation file to an ObservationHeader; also the header
// lines that event records carry in the middle of a file.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/rinex/observation_columns.h"
#include "stillpoint/rinex/observation_header.h"

namespace stillpoint::rinex {

class HeaderParser {
 public:
  // Takes one line, labels in any order after the first. Errors have no place;
  // the caller knows it.
  //
  //   errors   kBadHeader, kUnsupported (version), kBadFormat (other kind of
  //            file), kTooLarge
  Status line(std::string_view text);
  // True after END OF HEADER.
  [[nodiscard]] bool ended() const { return ended_; }
  // Checks the whole and builds the columns.
  Status finish();

  // Type lists that come next replace those of their system.
  void begin_update();

  [[nodiscard]] const ObservationHeader& header() const { return header_; }
  ObservationHeader& header() { return header_; }
  // Of a system, declared or not (version 2 has one list for all).
  [[nodiscard]] const std::vector<Column>& columns(System system) const {
    return all_columns_[static_cast<std::size_t>(system)];
  }
  // Number of types of the version 2 list.
  [[nodiscard]] std::size_t type2_count() const { return types2_.listed(); }

 private:
  struct TypeList {
    int announced = -1;  // -1: no list
    std::vector<std::string> types;
    [[nodiscard]] std::size_t listed() const { return types.size(); }
    [[nodiscard]] bool full() const {
      return static_cast<int>(types.size()) >= announced;
    }
  };
  struct ScaleFactor {
    System system;
    double factor;
    int announced;
    std::vector<std::string> types;  // empty: all of the system
  };

  Status first_line(std::string_view text);
  Status station_line(std::string_view text, std::string_view label);
  Status signal_line(std::string_view text, std::string_view label);
  Status time_line(std::string_view text, std::string_view label);
  Status types2_line(std::string_view text);
  Status types3_line(std::string_view text);
  Status scale_line(std::string_view text);
  void phase_shift_line(std::string_view text);
  void glonass_slot_line(std::string_view text);
  void glonass_bias_line(std::string_view text);
  void leap_seconds_line(std::string_view text);
  Status build_columns(System system);

  ObservationHeader header_;
  TypeList types2_;
  std::array<TypeList, kSystemCount> types3_;
  std::array<std::vector<Column>, kSystemCount> all_columns_;
  std::vector<ScaleFactor> scales_;
  TypeList* open_list_ = nullptr;  // for continuation lines
  std::size_t lines_ = 0;
  std::size_t shift_satellites_left_ = 0;
  bool updating_ = false;
  bool ended_ = false;
};

}  // namespace stillpoint::rinex
