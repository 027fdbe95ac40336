// Epochs straight from Hatanaka-compressed lines, without text in between.
#include <string>
#include <utility>

#include "stillpoint/rinex/field_text.h"
#include "stillpoint/rinex/hatanaka_core.h"
#include "stillpoint/rinex/reader_state.h"

namespace stillpoint::rinex {
namespace {

class HatanakaEpochs final : public EpochSource {
 public:
  HatanakaEpochs(ReaderState& state, int version)
      : state_(state), lines_(state.lines), core_(version) {}

  Result<bool> next(Epoch& epoch) override {
    for (;;) {
      Result<Step> step = find_head();
      if (step && *step == Step::kGood) {
        step = read_record(epoch);
      }
      if (!step) {
        return fail(std::move(step.error()));
      }
      if (*step != Step::kOn) {
        return *step == Step::kGood;
      }
    }
  }

 private:
  enum class Step : std::uint8_t {
    kGood,
    kOn,   // nothing to hand out, go on
    kEnd,  // of the file
  };

  // The next head, unless the check of the last epoch has taken it already.
  Result<Step> find_head() {
    if (std::exchange(have_head_, false)) {
      return Step::kGood;
    }
    Result<bool> got = next_line();
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (!*got) {
      return Step::kEnd;
    }
    const char* wrong = core_.take_head(line_, state_.heads, head_);
    if (wrong == nullptr) {
      head_line_ = lines_.number();
      return Step::kGood;
    }
    return resynchronise(wrong);
  }

  Result<bool> next_line() { return lines_.next(line_); }

  // Differences cannot go on: to the next line that starts afresh. The line
  // read last is the first one lost.
  Result<Step> resynchronise(const std::string& reason) {
    const std::size_t first = lines_.number();
    core_.forget();
    for (;;) {
      if (core_.is_start(line_) &&
          core_.take_head(line_, state_.heads, head_) == nullptr) {
        break;
      }
      Result<bool> got = next_line();
      if (!got) {
        return fail(std::move(got.error()));
      }
      if (!*got) {
        state_.report(first,
                      reason +
                          "; differences cannot go on, everything from "
                          "here to the end of the file is lost");
        return Step::kEnd;
      }
    }
    head_line_ = lines_.number();
    have_head_ = true;
    state_.report(first,
                  reason + "; differences cannot go on, lost up to line " +
                      std::to_string(head_line_) +
                      ", where the file starts afresh");
    return Step::kOn;
  }

  Result<Step> read_record(Epoch& epoch) {
    if (head_.is_event()) {
      bool changed = false;
      Result<bool> got = state_.read_event(head_, changed);
      if (!got) {
        return fail(std::move(got.error()));
      }
      if (changed) {
        core_.forget();
      }
      return *got ? Step::kOn : Step::kEnd;
    }
    if (head_.is_slips()) {
      return skip_slips();
    }
    epoch.clear();
    epoch.time = *head_.time;
    epoch.flag = static_cast<EpochFlag>(head_.flag);
    Result<Step> step = read_clock(epoch);
    if (step && *step == Step::kGood) {
      step = read_satellites(epoch);
    }
    if (step && *step == Step::kGood) {
      step = check_next_head();
    }
    return step;
  }

  // A line of the epoch being read.
  Result<Step> record_line() {
    Result<bool> got = next_line();
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (!*got) {
      state_.report("the file ends inside the epoch of line " +
                    std::to_string(head_line_) + "; that epoch is left out");
      return Step::kEnd;
    }
    if (core_.is_start(line_)) {
      return resynchronise("the epoch of line " + std::to_string(head_line_) +
                           " has too few lines and is left out");
    }
    return Step::kGood;
  }

  Result<Step> read_clock(Epoch& epoch) {
    Result<Step> step = record_line();
    if (!step || *step != Step::kGood) {
      return step;
    }
    const char* wrong = core_.take_clock(line_);
    if (wrong != nullptr) {
      return resynchronise(wrong);
    }
    if (core_.clock()) {
      epoch.receiver_clock_s =
          static_cast<double>(*core_.clock()) / core_.clock_units_per_s();
    }
    return Step::kGood;
  }

  Result<Step> read_satellites(Epoch& epoch) {
    state_.begin_epoch();
    for (int i = 0; i < head_.count; ++i) {
      Result<Step> step = record_line();
      if (!step || *step != Step::kGood) {
        return step;
      }
      const auto sat = state_.accept_satellite(core_.satellite_text(i));
      if (sat) {
        read_satellite(*sat, epoch);
      }
    }
    return Step::kGood;
  }

  void read_satellite(SatId sat, Epoch& epoch) {
    const RowPlan& plan = state_.plan(sat);
    const char* wrong = core_.take_satellite(sat, plan.columns.size(), line_);
    if (wrong != nullptr) {
      state_.report("satellite " + sat.text() + ": " + wrong +
                    "; left out until it starts afresh");
    }
    if (core_.lost()) {
      return;
    }
    RowFiller filler(epoch, plan);
    const auto& values = core_.values();
    const char* flags = core_.flags().data();
    for (std::size_t i = 0; i < values.size(); ++i, flags += 2) {
      if (values[i] == HatanakaCore::kAbsent || values[i] == 0) {
        continue;
      }
      const int lli = field::flag_digit(flags[0]);
      const int strength = field::flag_digit(flags[1]);
      if (lli < 0 || strength < 0) {
        state_.report(
            "satellite " + sat.text() + " is left out: the flags of " +
            state_.header.columns(sat.system)[i].code + " cannot be read");
        filler.drop();
        return;
      }
      // Exact thousandths below 2^53: the same double as the decimal text.
      filler.set(plan.columns[i],
                 static_cast<double>(values[i]) / 1000.0,
                 lli,
                 strength);
    }
    filler.keep(sat);
  }

  // Lines do not say what they are: a lost or doubled line shows only when the
  // next epoch line makes no sense. So it is read before the epoch is handed
  // out.
  Result<Step> check_next_head() {
    if (lines_.last_line_is_cut()) {
      state_.report(
          "the file ends inside this line; its last epoch is left out");
      return Step::kEnd;
    }
    Result<bool> got = next_line();
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (!*got) {
      return Step::kGood;
    }
    const std::size_t epoch_line = head_line_;
    const char* wrong = core_.take_head(line_, state_.heads, head_);
    if (wrong == nullptr) {
      have_head_ = true;
      head_line_ = lines_.number();
      return Step::kGood;
    }
    return resynchronise(
        "no epoch line where the epoch of line " + std::to_string(epoch_line) +
        " should end, so that one is left out too (" + wrong + ")");
  }

  // Flag 6: lines as they are up to the next start.
  Result<Step> skip_slips() {
    for (;;) {
      Result<bool> got = next_line();
      if (!got) {
        return fail(std::move(got.error()));
      }
      if (!*got) {
        return Step::kEnd;
      }
      if (core_.is_start(line_)) {
        lines_.push_back();
        return Step::kOn;
      }
    }
  }

  ReaderState& state_;
  LineSource& lines_;
  HatanakaCore core_;
  std::string_view line_;
  EpochHead head_;
  std::size_t head_line_ = 0;
  bool have_head_ = false;
};

}  // namespace

std::unique_ptr<EpochSource> make_hatanaka_epochs(ReaderState& state,
                                                  int version) {
  return std::make_unique<HatanakaEpochs>(state, version);
}

}  // namespace stillpoint::rinex
