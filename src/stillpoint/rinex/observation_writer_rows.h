// From the rows of an epoch to the columns of a file: which value goes where,
// as whole numbers and flag characters, and what finds no place.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rinex/observation_writer.h"
#include "stillpoint/rinex/version2_columns.h"

namespace stillpoint::rinex {

// An epoch as it will be printed.
struct EpochRecord {
  struct Satellite {
    SatId sat;
    std::array<char, 3> name{};
    std::size_t first = 0;  // of its columns in `numbers`
    std::size_t columns = 0;
  };
  std::string head;  // of the epoch line, the number of satellites included
  std::int64_t clock = 0;  // in the last printed digit; kNoNumber: none
  int picoseconds = 0;     // 0: none
  std::vector<Satellite> satellites;
  // Thousandths or kNoNumber, and two flag characters each.
  std::vector<std::int64_t> numbers;
  std::string flags;
};

// The columns that a file of this version gets from a header: those of a known
// kind, each signal and kind once.
WrittenColumns written_columns(const ObservationHeader& header,
                               Version version);

class RowPlacer {
 public:
  RowPlacer(const ObservationHeader& header, ObservationWriterOptions options);

  [[nodiscard]] const WrittenColumns& columns() const { return columns_; }

  // Fills satellites, numbers and flags. Satellites without a value that can
  // be written are not in the record.
  void place(const Epoch& epoch, EpochRecord& record);

  // One more value that was left out, for this reason.
  void leave_out(const std::string& reason) { ++left_out_[reason]; }
  [[nodiscard]] const LeftOutValues& left_out() const { return left_out_; }

 private:
  // Where the four values of a signal go, by Kind.
  struct Target {
    std::array<std::int32_t, 4> column{-1, -1, -1, -1};
    std::array<double, 4> units{};
    std::array<std::uint64_t*, 4> lost{};  // counters in left_out_
  };
  static constexpr std::size_t kSignals = std::size_t{10} * 26;

  Target& target(System system, SignalCode signal);
  bool accept(SatId sat, std::size_t values);
  bool place_row(System system, const Observation& row);
  void place_flags(const Observation& row, Kind kind, std::size_t column);
  void lose(System system, SignalCode signal, Kind kind);
  void lose_number(System system,
                   SignalCode signal,
                   Kind kind,
                   const char* reason);

  ObservationWriterOptions options_;
  std::array<std::vector<Column>, kSystemCount> header_columns_;
  WrittenColumns columns_;
  std::uint8_t lli_mask_ = 0;
  LeftOutValues left_out_;
  // Index of the target plus one, by system and signal.
  std::array<std::array<std::uint16_t, kSignals>, kSystemCount> target_of_{};
  std::vector<Target> targets_;
  std::uint64_t epoch_number_ = 0;
  std::array<std::uint64_t, SatId::kIndexCount> last_seen_{};
  // Of the satellite being placed.
  std::int64_t* numbers_ = nullptr;
  char* flags_ = nullptr;
};

}  // namespace stillpoint::rinex
