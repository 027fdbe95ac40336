// What the text reader and the reader of the compressed form share: lines,
// header, row plans, problems and events.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/rinex/epoch_head.h"
#include "stillpoint/rinex/field_text.h"
#include "stillpoint/rinex/header_parser.h"
#include "stillpoint/rinex/line_source.h"
#include "stillpoint/rinex/observation_reader.h"

namespace stillpoint::rinex {

// Index of the system by its letter; kSystemCount for other characters.
inline constexpr auto kSystemOfLetter = [] {
  std::array<std::uint8_t, 256> table{};
  table.fill(kSystemCount);
  constexpr std::string_view kLetters = "GRECJSI";  // in the order of System
  for (std::size_t i = 0; i < kLetters.size(); ++i) {
    table[static_cast<unsigned char>(kLetters[i])] =
        static_cast<std::uint8_t>(i);
  }
  return table;
}();

// Takes the two lines of a Hatanaka compression before the RINEX header: its
// version, 1 or 3, or 0 for plain text (nothing is taken).
//
//   errors   kUnsupported (other versions), and what the stream reports
Result<int> read_compression(LineSource& lines);

struct ReaderState {
  explicit ReaderState(std::unique_ptr<ByteStream> stream)
      : lines(std::move(stream)) {}

  LineSource lines;
  HeaderParser header;
  EpochHeadParser heads{3, TimeScale::kGps};
  std::array<RowPlan, kSystemCount> plans;
  std::vector<Problem> problems;
  std::size_t problem_count = 0;
  std::vector<Event> events;

  // Reads header lines up to END OF HEADER and prepares the rest.
  Status read_header();
  // After header or an event that changed it.
  void rebuild();

  // One damaged place, at the line read last or at a given one.
  void report(std::string what) { report(lines.number(), std::move(what)); }
  void report(std::size_t line, std::string what);
  // An error as soon as there are more problems than are kept.
  [[nodiscard]] Status check_problems() const;

  // True for a line that can only be an epoch line: the record before it has
  // lost lines when it comes too early.
  [[nodiscard]] bool opens_epoch(std::string_view line);

  // Reads the lines of an event record, keeps it and takes over the header
  // lines among them. False when the file ended inside. `changed`: the number
  // of columns is another one.
  Result<bool> read_event(const EpochHead& head, bool& changed);

  // Satellite of an epoch: nothing when it cannot be read, comes twice or its
  // system is not in the header; reported once.
  std::optional<SatId> accept_satellite(std::string_view text) {
    // The usual text, one that was accepted before.
    if (text.size() == 3) {
      const int number = field::two_digits(text.data() + 1);
      const auto letter = static_cast<unsigned char>(text[0]);
      const auto system = static_cast<std::size_t>(kSystemOfLetter[letter]);
      if (number > 0 && system < kSystemCount) {
        const SatId sat{static_cast<System>(system),
                        static_cast<std::uint8_t>(number)};
        auto& seen = last_seen_[static_cast<std::size_t>(sat.index())];
        if (seen != 0 && seen != epoch_number_ &&
            !plans[system].columns.empty()) {
          seen = epoch_number_;
          return sat;
        }
      }
    }
    return accept_new_satellite(text);
  }
  void begin_epoch() { ++epoch_number_; }

  [[nodiscard]] const RowPlan& plan(SatId sat) const {
    return plans[static_cast<std::size_t>(sat.system)];
  }

 private:
  std::optional<SatId> accept_new_satellite(std::string_view text);
  [[nodiscard]] std::array<std::size_t, kSystemCount> column_counts() const;

  std::uint64_t epoch_number_ = 0;
  std::array<std::uint64_t, SatId::kIndexCount> last_seen_{};
  std::array<bool, kSystemCount> undeclared_reported_{};
  std::size_t event_bytes_ = 0;
};

// A source of epochs in one of the two forms.
class EpochSource {
 public:
  virtual ~EpochSource() = default;
  virtual Result<bool> next(Epoch& epoch) = 0;
};

std::unique_ptr<EpochSource> make_text_epochs(ReaderState& state);
// version: 1 or 3, of the compression.
std::unique_ptr<EpochSource> make_hatanaka_epochs(ReaderState& state,
                                                  int version);

}  // namespace stillpoint::rinex
