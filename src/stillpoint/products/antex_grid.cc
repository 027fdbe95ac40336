#include <cmath>
#include <numbers>

#include "stillpoint/core/text.h"
#include "stillpoint/products/antex_parser.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxValues = 20'000'000;
constexpr std::size_t kMaxRow = 1'000;  // angles of one row, rows of a grid
constexpr std::size_t kValueWidth = 8;
constexpr double kRadPerDeg = std::numbers::pi / 180;
constexpr double kTurnDeg = 360;
constexpr double kDegTolerance = 1e-6;
constexpr double kMPerMm = 1e-3;

// How many nodes a range of angles has; nothing when the step does not fit.
std::optional<std::size_t> nodes_of(double first, double last, double step) {
  if (first == last) {
    return 1;
  }
  if (!(last > first) || !(step > 0)) {
    return std::nullopt;
  }
  const double steps = (last - first) / step;
  if (steps > static_cast<double>(kMaxRow) ||
      std::abs(steps - std::round(steps)) * step > kDegTolerance) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(std::lround(steps)) + 1;
}

}  // namespace

Status AntexReader::take_zenith(const Line& line, AntennaPattern& antenna) {
  const auto first = to_number(column(line.text, 2, 8));
  const auto last = to_number(column(line.text, 8, 14));
  const auto step = to_number(column(line.text, 14, 20));
  constexpr double kHalfTurnDeg = 180;
  const auto count = first && last && step && *first >= 0 &&
                             *last <= kHalfTurnDeg && *step >= 0
                         ? nodes_of(*first, *last, *step)
                         : std::nullopt;
  if (!count) {
    return bad("ZEN1 / ZEN2 / DZEN are no grid of angles");
  }
  antenna.zenith_first_rad = *first * kRadPerDeg;
  antenna.zenith_last_rad = *last * kRadPerDeg;
  antenna.zenith_step_rad = *step * kRadPerDeg;
  zeniths_ = *count;
  return ok();
}

Status AntexReader::take_azimuth(const Line& line, AntennaPattern& antenna) {
  const auto step = to_number(column(line.text, 2, 8));
  if (!step || *step < 0) {
    return bad("DAZI is no angle");
  }
  azimuths_ = 0;
  if (*step > 0) {
    const auto count = nodes_of(0, kTurnDeg, *step);
    if (!count) {
      return bad("DAZI does not divide a whole turn");
    }
    azimuths_ = *count;
  }
  azimuth_step_deg_ = *step;
  antenna.azimuth_step_rad = *step * kRadPerDeg;
  return ok();
}

// "   NOAZI" or an azimuth, then values of 8 columns.
Status AntexReader::take_row(std::string_view text,
                             AntennaFrequency& frequency) {
  const std::string_view head = column(text, 0, kValueWidth);
  const bool by_zenith = head == "NOAZI";
  std::vector<float>& into =
      by_zenith ? frequency.by_zenith_m : frequency.by_azimuth_m;
  if (by_zenith) {
    if (!into.empty()) {
      return bad("a second NOAZI row");
    }
  } else {
    const auto azimuth_deg = to_number(head);
    const std::size_t row = into.size() / zeniths_;
    const double expected_deg = azimuth_step_deg_ * static_cast<double>(row);
    if (!azimuth_deg || std::abs(*azimuth_deg - expected_deg) > kDegTolerance ||
        into.size() >= zeniths_ * azimuths_) {
      return bad("the row is not the next one of the grid");
    }
  }
  values_ += zeniths_;
  if (values_ > kMaxValues) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxValues) + " values",
                lines_.where());
  }
  for (std::size_t i = 1; i <= zeniths_; ++i) {
    const auto mm =
        to_number(column(text, i * kValueWidth, i * kValueWidth + kValueWidth));
    if (!mm) {
      return bad("value " + std::to_string(i) +
                 " of the row is missing or no number");
    }
    into.push_back(static_cast<float>(*mm * kMPerMm));
  }
  if (!trim(columns(text, (zeniths_ + 1) * kValueWidth, text.size())).empty()) {
    return bad("the row has more values than the grid");
  }
  return ok();
}

Status AntexReader::finish_frequency(const AntennaFrequency& f) const {
  if (!offset_seen_) {
    return bad("the frequency has no NORTH / EAST / UP");
  }
  if (f.by_zenith_m.empty()) {
    return bad("the frequency has no NOAZI row");
  }
  if (f.by_azimuth_m.size() != zeniths_ * azimuths_) {
    return bad("the frequency has not all rows that DAZI says");
  }
  return ok();
}

Status AntexReader::read_frequency(std::string_view code,
                                   AntennaPattern& antenna) {
  AntennaFrequency frequency;
  const auto system =
      system_from_letter(code.empty() || code.size() < 3 ? 'G' : code[0]);
  const auto number =
      to_integer(trim(code.size() < 3 ? code : code.substr(code.size() - 2)));
  if (!system || !number || *number < 1 || code.size() > 3) {
    return bad("the frequency is none that the format has");
  }
  if (zeniths_ == 0) {
    return bad("a frequency before ZEN1 / ZEN2 / DZEN");
  }
  frequency.system = *system;
  frequency.number = *number;
  if (antenna.frequency(*system, *number) != nullptr) {
    return bad("the same frequency twice");
  }
  offset_seen_ = false;
  for (;;) {
    Line line;
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "NORTH / EAST / UP") {
      const auto north = to_number(column(line.text, 0, 10));
      const auto east = to_number(column(line.text, 10, 20));
      const auto up = to_number(column(line.text, 20, 30));
      if (!north || !east || !up) {
        return bad("NORTH / EAST / UP are not three numbers");
      }
      frequency.offset_m = {*north * kMPerMm, *east * kMPerMm, *up * kMPerMm};
      offset_seen_ = true;
    } else if (line.label == "END OF FREQUENCY") {
      if (auto finished = finish_frequency(frequency); !finished) {
        return finished;
      }
      antenna.frequencies.push_back(std::move(frequency));
      return ok();
    } else if (line.label != "COMMENT") {
      if (auto taken = take_row(line.text, frequency); !taken) {
        return taken;
      }
    }
  }
}

Status AntexReader::skip_rms() {
  Line line;
  do {
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "END OF ANTENNA") {
      return bad("the sigmas have no END OF FREQ RMS");
    }
  } while (line.label != "END OF FREQ RMS");
  return ok();
}

}  // namespace stillpoint::products
