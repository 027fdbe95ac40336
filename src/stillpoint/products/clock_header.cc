#include "stillpoint/products/clock_header.h"

#include <string>
#include <tuple>

#include "stillpoint/core/text.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kLabel = 60;
constexpr std::size_t kShift = 5;
constexpr double kOldest = 1.995, kNewest = 3.995;

tl::unexpected<Error> bad(std::string what) {
  return fail(ErrorCode::kBadHeader, std::move(what));
}

// "WL E01 2020  6 25 12  0  0.000000  1   -4.4E-01  0105": satellite, epoch,
// count of values, value, the two bands.
std::optional<WideLaneBias> to_wide_lane(std::string_view text,
                                         TimeScale scale) {
  if (!text.starts_with("WL ")) {
    return std::nullopt;
  }
  text.remove_prefix(3);
  const auto sat = parse_satellite(next_word(text));
  const auto year = to_integer(next_word(text));
  const auto month = to_integer(next_word(text));
  const auto day = to_integer(next_word(text));
  const auto hour = to_integer(next_word(text));
  const auto minute = to_integer(next_word(text));
  const auto second = to_real(next_word(text));
  const std::string_view count = next_word(text);
  const auto value = to_real(next_word(text));
  const std::string_view bands = next_word(text);
  if (!sat || !year || !month || !day || !hour || !minute || !second ||
      count != "1" || !value || bands.size() != 4 || bands[0] != '0' ||
      bands[2] != '0' || !trim(text).empty()) {
    return std::nullopt;
  }
  const auto at = from_calendar(
      Calendar{*year, *month, *day, *hour, *minute, *second}, scale);
  const auto is_band = [](char c) { return c >= '1' && c <= '9'; };
  if (!at || !is_band(bands[1]) || !is_band(bands[3])) {
    return std::nullopt;
  }
  return WideLaneBias{*sat, *at, *value, bands[1], bands[3]};
}

std::optional<AppliedCorrection> to_applied(std::string_view text,
                                            std::size_t shift) {
  const auto system =
      system_from_letter(text.empty() || text[0] == ' ' ? 'G' : text[0]);
  if (!system) {
    return std::nullopt;
  }
  const std::size_t second = shift == 0 ? 20 : 21;
  return AppliedCorrection{*system,
                           std::string(column(text, 2, second)),
                           std::string(column(text, second, text.size()))};
}

ReferenceClock to_reference(std::string_view text, std::size_t shift) {
  ReferenceClock clock;
  clock.name = column(text, 0, 4 + shift);
  clock.id = column(text, 5 + shift, 25 + shift);
  clock.offset_s = to_real(column(text, 40, kLabel + shift));
  return clock;
}

ClockStation to_station(std::string_view text, std::size_t shift) {
  ClockStation station;
  station.name = column(text, 0, 4 + shift);
  station.id = column(text, 5 + shift, 25 + shift);
  const auto at_m = [&](std::size_t from, std::size_t to) {
    const auto mm = to_real(column(text, from + shift, to + shift));
    return mm ? *mm * 1e-3 : kMissing;
  };
  station.position_m = {at_m(25, 36), at_m(36, 48), at_m(48, 60)};
  return station;
}

}  // namespace

bool is_before(const ClockSeries& a, const ClockSeries& b) {
  const auto key = [](const ClockSeries& s) {
    return std::make_tuple(!s.satellite.has_value(),
                           s.satellite.value_or(SatId{}),
                           std::string_view(s.name));
  };
  return key(a) < key(b);
}

Status ClockHeader::take_first(std::string_view line, ClockProduct& product) {
  constexpr std::string_view kFirst = "RINEX VERSION / TYPE";
  if (columns(line, kLabel, kFirst.size()) == kFirst) {
    shift_ = 0;
  } else if (columns(line, kLabel + kShift, kFirst.size()) == kFirst) {
    shift_ = kShift;
  } else {
    return bad("the first line is not RINEX VERSION / TYPE");
  }
  const auto version = to_real(column(line, 0, 20));
  const std::string_view type = column(line, 20, 40);
  if (!version || !type.starts_with('C')) {
    return bad("not a clock file: the type in the first line is not C");
  }
  if (*version < kOldest || *version > kNewest) {
    return fail(ErrorCode::kUnsupported,
                "clock files of version " + std::string(column(line, 0, 20)) +
                    "; 2.00 to 3.04 can be read");
  }
  product.version = *version;
  started_ = true;
  return ok();
}

void ClockHeader::take_comment(std::string_view text, ClockProduct& product) {
  if (to_wide_lane(text, product.scale)) {
    pending_.emplace_back(text);
  } else {
    product.comments.emplace_back(text);
  }
}

Status ClockHeader::take(std::string_view line, ClockProduct& product) {
  if (!started_) {
    return take_first(line, product);
  }
  const std::size_t label_at = kLabel + shift_;
  const std::string_view label = column(line, label_at, label_at + 20);
  const std::string_view text = trim_right(columns(line, 0, label_at));
  if (label == "COMMENT") {
    take_comment(text, product);
  } else if (label == "PGM / RUN BY / DATE") {
    const std::size_t width = shift_ == 0 ? 20 : 21;
    product.program = column(text, 0, width);
    product.run_by = column(text, width, 2 * width);
    product.date = column(text, 2 * width, label_at);
  } else if (label == "TIME SYSTEM ID") {
    const auto scale = to_time_scale(trim(text));
    if (!scale) {
      return bad("the time system '" + std::string(trim(text)) +
                 "' is not known");
    }
    product.scale = *scale;
  } else if (label == "LEAP SECONDS") {
    const auto leap = to_integer(trim(text));
    if (!leap) {
      return bad("LEAP SECONDS is not a number");
    }
    product.leap_seconds = *leap;
  } else if (label == "SYS / DCBS APPLIED" || label == "SYS / PCVS APPLIED") {
    const auto applied = to_applied(text, shift_);
    if (!applied) {
      return bad("the satellite system is not known");
    }
    (label[6] == 'D' ? product.code_biases : product.phase_centres)
        .push_back(*applied);
  } else if (label == "ANALYSIS CENTER") {
    product.analysis_centre = column(text, 0, 3);
    product.analysis_name = column(text, 3, label_at);
  } else if (label == "ANALYSIS CLK REF") {
    product.references.push_back(to_reference(text, shift_));
  } else if (label == "# OF SOLN STA / TRF") {
    product.frame_label = column(text, 6, label_at);
  } else if (label == "SOLN STA NAME / NUM") {
    product.stations.push_back(to_station(text, shift_));
  } else if (label == "END OF HEADER") {
    for (const std::string& comment : pending_) {
      if (const auto bias = to_wide_lane(comment, product.scale)) {
        product.wide_lane.push_back(*bias);
      }
    }
    ended_ = true;
  }
  return ok();
}

}  // namespace stillpoint::products
