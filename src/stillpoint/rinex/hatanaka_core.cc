#include "stillpoint/rinex/hatanaka_core.h"

#include <algorithm>

namespace stillpoint::rinex {
namespace {

// What F14.3 can hold, in thousandths.
constexpr std::int64_t kMaxThousandths = 9'999'999'999'999;
constexpr std::int64_t kMinThousandths = -999'999'999'999;

// Digits that surely fit 64 bits.
constexpr int kMaxDigits = 18;

// One number of a line, "5&123" or "-42".
struct Number {
  int order = -1;  // of a new arc; -1: a difference
  std::int64_t value = 0;
};

// Digits with a sign from p on; false when there are none or too many.
[[gnu::always_inline]] inline bool read_integer(const char*& p,
                                                const char* end,
                                                std::int64_t& value) {
  const bool negative = p != end && *p == '-';
  if (negative) {
    ++p;
  }
  const char* const first = p;
  std::uint64_t digits = 0;
  while (p != end && *p >= '0' && *p <= '9') {
    digits = digits * 10 + static_cast<std::uint64_t>(*p - '0');
    ++p;
  }
  if (p == first || p - first > kMaxDigits) {
    return false;
  }
  const auto size = static_cast<std::int64_t>(digits);
  value = negative ? -size : size;
  return true;
}

[[gnu::always_inline]] inline bool read_number(const char*& p,
                                               const char* end,
                                               Number& number) {
  const char* const first = p;
  if (!read_integer(p, end, number.value)) {
    return false;
  }
  if (p == end || *p != '&') {
    return true;
  }
  if (p - first != 1) {
    return false;
  }
  number.order = static_cast<int>(number.value);
  ++p;
  return read_integer(p, end, number.value);
}

// Continues or begins an arc; false for a difference without a beginning.
[[gnu::always_inline]] inline bool advance(DifferenceArc& arc,
                                           const Number& number,
                                           std::int64_t& value) {
  if (number.order >= 0) {
    arc.begin(number.order, number.value);
    value = number.value;
    return true;
  }
  if (!arc.active()) {
    return false;
  }
  value = arc.next(number.value);
  return true;
}

}  // namespace

void repair_text(std::string& text, std::string_view difference) {
  if (text.size() < difference.size()) {
    text.resize(difference.size(), ' ');
  }
  for (std::size_t i = 0; i < difference.size(); ++i) {
    const char c = difference[i];
    if (c != ' ') {
      text[i] = c == '&' ? ' ' : c;
    }
  }
}

const std::string& HatanakaCore::head_text() const {
  return is_event_ ? event_text_ : epoch_text_;
}

std::string_view HatanakaCore::satellite_text(int i) const {
  const std::size_t first = version_ == 1 ? 32 : 41;
  return std::string_view(epoch_text_)
      .substr(first + 3 * static_cast<std::size_t>(i), 3);
}

const char* HatanakaCore::take_head(std::string_view line,
                                    EpochHeadParser& parser,
                                    EpochHead& head) {
  const bool start = is_start(line);
  is_event_ = false;
  if (start) {
    event_text_.assign(line);
    if (version_ == 1) {
      event_text_[0] = ' ';
    }
    const char* wrong = parser.parse(event_text_, false, head);
    if (wrong != nullptr) {
      return wrong;
    }
    if (head.flag >= 2) {
      is_event_ = true;
      return nullptr;
    }
    std::swap(epoch_text_, event_text_);
    clock_arc_.end();
    forget_satellites();
  } else {
    if (epoch_text_.empty()) {
      return "differences without an epoch to start from";
    }
    repair_text(epoch_text_, line);
    const char* wrong = parser.parse(epoch_text_, false, head);
    if (wrong != nullptr) {
      return wrong;
    }
    if (head.flag >= 2) {
      return "an event record without its own beginning";
    }
    // Lines that were lost or came twice show here first.
    if (last_time_ && *head.time <= *last_time_) {
      return "time does not go on from epoch to epoch";
    }
  }
  const std::size_t list = (version_ == 1 ? 32U : 41U);
  if (epoch_text_.size() < list + 3 * static_cast<std::size_t>(head.count)) {
    return "the list of satellites is cut short";
  }
  last_time_ = head.time;
  ++epoch_;
  return nullptr;
}

const char* HatanakaCore::take_clock(std::string_view line) {
  clock_.reset();
  if (line.find_first_not_of(' ') == std::string_view::npos) {
    clock_arc_.end();
    return nullptr;
  }
  const char* p = line.data();
  const char* const end = p + line.size();
  Number number;
  std::int64_t value = 0;
  const bool good = read_number(p, end, number) &&
                    std::all_of(p, end, [](char c) { return c == ' '; }) &&
                    advance(clock_arc_, number, value);
  // F12.9 and F15.12 hold less than 100 s, less than 10 s when negative.
  const std::int64_t second = version_ == 1 ? 1'000'000'000 : 1'000'000'000'000;
  if (!good || value >= 100 * second || value <= -10 * second) {
    clock_arc_.end();
    return "the receiver clock's line cannot be decoded";
  }
  clock_ = value;
  return nullptr;
}

const char* HatanakaCore::take_satellite(SatId sat,
                                         std::size_t columns,
                                         std::string_view line) {
  Satellite& satellite = satellites_[static_cast<std::size_t>(sat.index())];
  current_ = &satellite;
  const bool goes_on = satellite.epoch + 1 == epoch_;
  satellite.epoch = epoch_;
  values_.assign(columns, kAbsent);
  if (!goes_on || satellite.arcs.size() != columns) {
    satellite.lost = false;
    satellite.arcs.assign(columns, DifferenceArc());
    satellite.flags.assign(2 * columns, ' ');
  }
  if (satellite.lost) {
    return nullptr;
  }
  const char* wrong = decode(satellite, line);
  satellite.lost = wrong != nullptr;
  return wrong;
}

const char* HatanakaCore::decode(Satellite& satellite, std::string_view line) {
  const char* p = line.data();
  const char* const end = p + line.size();
  const std::size_t columns = satellite.arcs.size();
  for (std::size_t i = 0; i < columns; ++i) {
    DifferenceArc& arc = satellite.arcs[i];
    if (p == end || *p == ' ') {
      arc.end();
      p += p == end ? 0 : 1;
      continue;
    }
    Number number;
    if (!read_number(p, end, number)) {
      return "a number cannot be read";
    }
    std::int64_t value = 0;
    if (!advance(arc, number, value)) {
      return "a difference without a value to start from";
    }
    if (value > kMaxThousandths || value < kMinThousandths) {
      return "a value is larger than its columns";
    }
    values_[i] = value;
    if (p != end && *p++ != ' ') {
      return "a number is followed by other text";
    }
  }
  const std::string_view flags(p, static_cast<std::size_t>(end - p));
  if (flags.size() > 2 * columns) {
    return "there are more flags than columns";
  }
  repair_text(satellite.flags, flags);
  if (version_ == 1) {
    // Version 1 has no flags without a value (from memory).
    for (std::size_t i = 0; i < columns; ++i) {
      if (values_[i] == kAbsent) {
        satellite.flags[2 * i] = satellite.flags[2 * i + 1] = ' ';
      }
    }
  }
  return nullptr;
}

}  // namespace stillpoint::rinex
