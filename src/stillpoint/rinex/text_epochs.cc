// Epochs of plain RINEX text, versions 2 to 4.
#include <algorithm>
#include <array>
#include <span>
#include <string>
#include <utility>

#include "stillpoint/rinex/field_text.h"
#include "stillpoint/rinex/reader_state.h"

namespace stillpoint::rinex {
namespace {

constexpr std::size_t kFieldWidth = 16;  // F14.3, I1, I1
constexpr std::size_t kValueWidth = 14;
constexpr std::size_t kFieldsPerLine2 = 5;
constexpr std::size_t kSatellitesPerLine2 = 12;
constexpr std::size_t kSatelliteColumn2 = 32;

// How the reading of one record went.
enum class Outcome : std::uint8_t {
  kGood,
  kNone,  // nothing to hand out, damage reported; go on
  kEnd,   // of the file
};

// Blank lines and the end mark of old systems stand for nothing.
bool is_nothing(std::string_view line) {
  return line.find_first_not_of(" \x1a") == std::string_view::npos;
}

// Sets the columns from a line's fields. Returns the index of the first that
// cannot be read, or the number of columns.
std::size_t fill_columns(std::string_view fields,
                         std::span<const ColumnPlan> columns,
                         RowFiller& filler) {
  const char* p = fields.data();
  std::size_t left = fields.size();
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (left < kValueWidth) {
      // A number that the line's end cuts short is another number.
      return field::trim(std::string_view(p, left)).empty() ? columns.size()
                                                            : i;
    }
    double value = 0;
    field::Shape shape = field::parse_f14_3(p, value);
    if (shape == field::Shape::kOdd) {
      double odd = 0;  // its own, so that the usual one stays in a register
      shape = field::parse_odd(std::string_view(p, kValueWidth), odd);
      value = odd;
    }
    if (shape != field::Shape::kBlank) {
      // Files leave out blanks at the end of a line.
      const int lli =
          left > kValueWidth ? field::flag_digit(p[kValueWidth]) : 0;
      const int strength =
          left > kValueWidth + 1 ? field::flag_digit(p[kValueWidth + 1]) : 0;
      if (shape == field::Shape::kBad || (lli | strength) < 0) {
        return i;
      }
      filler.set(columns[i], value, lli, strength);
    }
    if (left <= kFieldWidth) {
      break;
    }
    p += kFieldWidth;
    left -= kFieldWidth;
  }
  return columns.size();
}

class TextEpochs final : public EpochSource {
 public:
  explicit TextEpochs(ReaderState& state)
      : state_(state), lines_(state.lines) {}

  Result<bool> next(Epoch& epoch) override {
    for (;;) {
      EpochHead head;
      Result<bool> found = find_head(head);
      if (!found || !*found) {
        return found;
      }
      Result<Outcome> outcome = read_record(head, epoch);
      if (!outcome) {
        return fail(std::move(outcome.error()));
      }
      if (*outcome == Outcome::kEnd) {
        return false;
      }
      if (*outcome == Outcome::kGood) {
        return true;
      }
    }
  }

 private:
  [[nodiscard]] bool is_version2() const { return state_.heads.is_version2(); }

  // Next epoch line that can be understood; what had to be stepped over is
  // reported once.
  Result<bool> find_head(EpochHead& head) {
    std::string reason = std::move(doubt_);
    doubt_.clear();
    std::size_t bad_line = reason.empty() ? 0 : doubt_line_;
    std::size_t skipped = 0;
    Result<bool> got = false;
    for (;;) {
      got = lines_.next(line_);
      if (!got || !*got) {
        break;
      }
      if (is_nothing(line_)) {
        continue;
      }
      const char* wrong = state_.heads.parse(line_, true, head);
      if (wrong == nullptr) {
        break;
      }
      ++skipped;
      if (bad_line == 0) {
        bad_line = lines_.number();
        reason = wrong;
      }
    }
    if (bad_line != 0) {
      state_.report(bad_line,
                    reason + "; stepped over " + std::to_string(skipped) +
                        " lines to the next epoch");
    }
    head_line_ = lines_.number();
    return got;
  }

  Result<Outcome> read_record(const EpochHead& head, Epoch& epoch) {
    if (head.is_event()) {
      bool changed = false;
      Result<bool> got = state_.read_event(head, changed);
      if (!got) {
        return fail(std::move(got.error()));
      }
      return *got ? Outcome::kNone : Outcome::kEnd;
    }
    if (head.is_slips()) {
      return skip_slips(head);
    }
    epoch.clear();
    epoch.time = *head.time;
    epoch.flag = static_cast<EpochFlag>(head.flag);
    epoch.receiver_clock_s = head.clock_s;
    state_.begin_epoch();
    Result<Outcome> outcome =
        is_version2() ? read_version2(head, epoch) : read_version3(head, epoch);
    if (outcome && *outcome == Outcome::kGood && lines_.last_line_is_cut()) {
      state_.report(
          "the file ends inside this line; its last epoch is left out");
      return Outcome::kEnd;
    }
    return outcome;
  }

  // Next line of a record into line_; kNone when an epoch line comes too
  // early.
  Result<Outcome> record_line() {
    return check_record_line(lines_.next(line_));
  }
  Result<Outcome> check_record_line(Result<bool> got) {
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (!*got) {
      state_.report("the file ends inside the epoch of line " +
                    std::to_string(head_line_) + "; that epoch is left out");
      return Outcome::kEnd;
    }
    if (!state_.opens_epoch(line_)) {
      return Outcome::kGood;
    }
    state_.report(head_line_,
                  "the epoch has fewer lines than its satellites need; it is "
                  "left out");
    lines_.push_back();
    return Outcome::kNone;
  }

  void report_column(SatId sat, std::size_t column) {
    const auto& columns = state_.header.columns(sat.system);
    state_.report("satellite " + sat.text() + " is left out: its " +
                  columns[column].code + " cannot be read");
  }

  Result<Outcome> read_version3(const EpochHead& head, Epoch& epoch) {
    for (int i = 0; i < head.count; ++i) {
      Result<bool> line = lines_.next(line_);
      const bool usual = line && *line && !line_.empty() && line_[0] != '>';
      if (!usual) {
        Result<Outcome> got = check_record_line(std::move(line));
        if (!got || *got != Outcome::kGood) {
          return got;
        }
      }
      const auto sat = state_.accept_satellite(line_.substr(0, 3));
      if (!sat) {
        continue;
      }
      const RowPlan& plan = state_.plan(*sat);
      RowFiller filler(epoch, plan);
      const std::size_t count = plan.columns.size();
      const std::size_t bad = fill_columns(
          field::part(line_, 3, kFieldWidth * count), plan.columns, filler);
      if (bad != count) {
        report_column(*sat, bad);
        filler.drop();
      } else {
        filler.keep(*sat);
      }
    }
    return Outcome::kGood;
  }

  // The satellites of an epoch line and its continuation lines.
  Result<Outcome> read_satellite_list2(int count) {
    sats_.clear();
    std::size_t place = 0;
    for (int i = 0; i < count; ++i, ++place) {
      if (place == kSatellitesPerLine2) {
        place = 0;
        Result<Outcome> got = record_line();
        if (!got || *got != Outcome::kGood) {
          return got;
        }
      }
      const auto text = field::part(line_, kSatelliteColumn2 + 3 * place, 3);
      if (text.size() < 3) {
        state_.report(
            "the list of satellites is cut short; the epoch is left out");
        return Outcome::kNone;
      }
      sats_.push_back(state_.accept_satellite(text));
    }
    return Outcome::kGood;
  }

  Result<Outcome> read_version2(const EpochHead& head, Epoch& epoch) {
    Result<Outcome> got = read_satellite_list2(head.count);
    if (!got || *got != Outcome::kGood) {
      return got;
    }
    for (const auto& sat : sats_) {
      got = read_satellite2(sat, epoch);
      if (!got || *got != Outcome::kGood) {
        return got;
      }
    }
    return check_next_head();
  }

  // Version 2 lines do not name their satellite: when the next line is no
  // epoch line, any of them may have slipped in or been lost.
  Result<Outcome> check_next_head() {
    if (lines_.last_line_is_cut()) {
      state_.report(
          "the file ends inside this line; its last epoch is left out");
      return Outcome::kEnd;
    }
    Result<bool> got = lines_.next(line_);
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (!*got) {
      return Outcome::kGood;
    }
    EpochHead head;
    if (is_nothing(line_) || state_.heads.parse(line_, true, head) == nullptr) {
      lines_.push_back();
      return Outcome::kGood;
    }
    doubt_ = "no epoch line where the epoch of line " +
             std::to_string(head_line_) + " should end; it is left out";
    doubt_line_ = lines_.number();
    lines_.push_back();
    return Outcome::kNone;
  }

  Result<Outcome> read_satellite2(const std::optional<SatId>& sat,
                                  Epoch& epoch) {
    const std::size_t count = state_.header.type2_count();
    const RowPlan& plan = sat ? state_.plan(*sat) : no_plan_;
    RowFiller filler(epoch, plan);
    std::size_t bad = count;
    for (std::size_t first = 0; first < count; first += kFieldsPerLine2) {
      Result<Outcome> got = record_line();
      if (!got || *got != Outcome::kGood) {
        filler.drop();
        return got;
      }
      if (!sat || bad != count) {
        continue;
      }
      const std::size_t last = std::min(first + kFieldsPerLine2, count);
      const auto columns = std::span(plan.columns).subspan(first, last - first);
      const std::size_t stopped = fill_columns(line_, columns, filler);
      if (stopped != columns.size()) {
        bad = first + stopped;
        report_column(*sat, bad);
      }
    }
    if (!sat || bad != count) {
      filler.drop();
    } else {
      filler.keep(*sat);
    }
    return Outcome::kGood;
  }

  // Flag 6: records of repaired slips, laid out as observations.
  Result<Outcome> skip_slips(const EpochHead& head) {
    std::size_t lines = static_cast<std::size_t>(head.count);
    if (is_version2()) {
      const std::size_t types = state_.header.type2_count();
      const std::size_t lists =
          lines == 0 ? 0 : (lines - 1) / kSatellitesPerLine2;
      lines = lines * ((types + kFieldsPerLine2 - 1) / kFieldsPerLine2) + lists;
    }
    for (std::size_t i = 0; i < lines; ++i) {
      Result<Outcome> got = record_line();
      if (!got || *got != Outcome::kGood) {
        return got;
      }
    }
    return Outcome::kNone;
  }

  ReaderState& state_;
  LineSource& lines_;
  std::string_view line_;
  std::size_t head_line_ = 0;
  std::vector<std::optional<SatId>> sats_;
  RowPlan no_plan_;    // of a satellite that is left out
  std::string doubt_;  // why the last epoch is not trusted, not yet reported
  std::size_t doubt_line_ = 0;
};

}  // namespace

std::unique_ptr<EpochSource> make_text_epochs(ReaderState& state) {
  return std::make_unique<TextEpochs>(state);
}

}  // namespace stillpoint::rinex
