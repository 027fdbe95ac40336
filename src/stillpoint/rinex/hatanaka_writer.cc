#include "stillpoint/rinex/hatanaka_writer.h"

#include <algorithm>
#include <charconv>
#include <cstdlib>
#include <limits>

#include "stillpoint/rinex/observation_writer_fields.h"

namespace stillpoint::rinex {
namespace {

constexpr std::size_t kListColumn1 = 32;
constexpr std::size_t kListColumn3 = 41;
// Eleven digits: what the library of docs/outside.md begins anew, so that no
// reader is asked for more. It does not for clocks.
constexpr std::int64_t kTooLarge = 10'000'000'000;
constexpr std::int64_t kNoLimit = std::numeric_limits<std::int64_t>::max();

// limit: a difference of this size begins a new arc instead.
void append_number(DifferenceChain& chain,
                   std::int64_t value,
                   std::int64_t limit,
                   std::string& out) {
  bool fresh = chain.fresh();
  std::int64_t number = chain.next(value);
  if (!fresh && std::abs(number) >= limit) {
    chain.end();
    number = chain.next(value);
    fresh = true;
  }
  std::array<char, 24> text{};
  char* at = text.data();
  if (fresh) {
    *at++ = static_cast<char>('0' + DifferenceChain::kOrder);
    *at++ = '&';
  }
  const auto [end, error] =
      std::to_chars(at, text.data() + text.size(), number);
  out.append(text.data(), end);
}

}  // namespace

void append_text_difference(std::string& to,
                            std::string& reference,
                            std::string_view after) {
  const std::size_t from = to.size();
  const std::size_t known = reference.size();
  pad(reference, after.size());
  for (std::size_t i = 0; i < reference.size(); ++i) {
    const char c = i < after.size() ? after[i] : ' ';
    if (i < known && c == reference[i]) {
      to += ' ';
    } else {
      to += c == ' ' ? '&' : c;
    }
    reference[i] = c;
  }
  trim_end(to, from);
}

void HatanakaWriter::append_head(const EpochRecord& record, std::string& out) {
  head_ = record.head;
  pad(head_, version_ == 1 ? kListColumn1 : kListColumn3);
  for (const auto& satellite : record.satellites) {
    head_.append(satellite.name.data(), satellite.name.size());
  }
  trim_end(head_, 0);
  if (last_head_.empty()) {
    const std::size_t from = out.size();
    out += head_;
    out[from] = version_ == 1 ? '&' : '>';
    last_head_ = head_;
  } else {
    append_text_difference(out, last_head_, head_);
  }
  out += '\n';
}

void HatanakaWriter::append(const EpochRecord& record, std::string& out) {
  append_head(record, out);
  if (record.clock == kNoNumber) {
    clock_.end();
  } else {
    append_number(clock_, record.clock, kNoLimit, out);
  }
  out += '\n';
  ++epoch_;
  for (const auto& satellite : record.satellites) {
    append_satellite(record, satellite, out);
  }
}

void HatanakaWriter::append_satellite(const EpochRecord& record,
                                      const EpochRecord::Satellite& satellite,
                                      std::string& out) {
  Satellite& history =
      satellites_[static_cast<std::size_t>(satellite.sat.index())];
  const bool goes_on = history.epoch + 1 == epoch_;
  history.epoch = epoch_;
  if (!goes_on) {
    history.chains.assign(satellite.columns, DifferenceChain());
    // Version 1 begins with blanks, version 3 with nothing.
    history.flags.assign(version_ == 1 ? 2 * satellite.columns : 0, ' ');
  }
  const std::size_t from = out.size();
  for (std::size_t i = 0; i < satellite.columns; ++i) {
    const std::int64_t value = record.numbers[satellite.first + i];
    if (value == kNoNumber) {
      history.chains[i].end();
      if (version_ == 1) {
        // Its readers blank the flags of a missing value themselves.
        history.flags[2 * i] = history.flags[2 * i + 1] = ' ';
      }
    } else {
      append_number(history.chains[i], value, kTooLarge, out);
    }
    out += ' ';
  }
  const auto flags = std::string_view(record.flags)
                         .substr(2 * satellite.first, 2 * satellite.columns);
  append_text_difference(out, history.flags, flags);
  trim_end(out, from);
  out += '\n';
}

}  // namespace stillpoint::rinex
