#include "stillpoint/products/antex_reader.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <string_view>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/fixed_text.h"
#include "stillpoint/products/sp3_fields.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxAntennas = 100'000;
constexpr std::size_t kMaxValues = 20'000'000;
constexpr std::size_t kMaxRow = 1'000;  // angles of one row, rows of a grid
constexpr std::size_t kMaxComments = 10'000;
constexpr std::size_t kLabel = 60;
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

class AntexReader {
 public:
  AntexReader(std::unique_ptr<ByteStream> stream, AntexReaderOptions options)
      : lines_(std::move(stream)), options_(std::move(options)) {}

  Result<AntennaProduct> read();

 private:
  struct Line {
    std::string_view text;
    std::string_view label;
  };

  Result<bool> next(Line& line);
  // A line inside the header or an antenna.
  Status need(Line& line);
  Status read_head();
  Status read_antenna();
  Status skip_antenna();
  Status take_antenna_line(const Line& line, AntennaPattern& antenna);
  Status take_type(const Line& line, AntennaPattern& antenna);
  Status take_validity(const Line& line, std::optional<GnssTime>& into);
  Status take_zenith(const Line& line, AntennaPattern& antenna);
  Status take_azimuth(const Line& line, AntennaPattern& antenna);
  Status read_frequency(std::string_view code, AntennaPattern& antenna);
  Status take_row(std::string_view text, AntennaFrequency& frequency);
  Status finish_frequency(const AntennaFrequency& frequency) const;
  Status skip_rms();
  [[nodiscard]] bool wanted(const AntennaPattern& antenna) const;

  [[nodiscard]] tl::unexpected<Error> bad(std::string what) const {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }
  [[nodiscard]] tl::unexpected<Error> bad_head(std::string what) const {
    return fail(ErrorCode::kBadHeader, std::move(what), lines_.where());
  }

  LineReader lines_;
  AntexReaderOptions options_;
  AntennaProduct product_;
  std::size_t values_ = 0, comments_ = 0;
  // Of the antenna being read; 0: not known yet.
  std::size_t zeniths_ = 0, azimuths_ = 0;
  double azimuth_step_deg_ = 0;
  bool offset_seen_ = false, typed_ = false;
};

Result<bool> AntexReader::next(Line& line) {
  auto more = lines_.next(line.text);
  if (more && *more) {
    line.label = column(line.text, kLabel, kLabel + 20);
  }
  return more;
}

Status AntexReader::need(Line& line) {
  const auto more = next(line);
  if (!more) {
    return fail(more.error());
  }
  if (!*more) {
    return fail(ErrorCode::kTruncated,
                "the file ends inside its header or an antenna",
                lines_.where(),
                "Fetch the file again; a part of it is not used.");
  }
  return ok();
}

Status AntexReader::read_head() {
  Line line;
  if (auto more = need(line); !more) {
    return more;
  }
  if (line.label != "ANTEX VERSION / SYST") {
    return bad_head("not an ANTEX file: the first line is not ANTEX VERSION");
  }
  const auto version = to_number(column(line.text, 0, 8));
  constexpr double kOldest = 0.95, kNewest = 1.45;
  if (!version || *version < kOldest || *version > kNewest) {
    return fail(ErrorCode::kUnsupported,
                "ANTEX version '" + std::string(column(line.text, 0, 8)) +
                    "'; 1.0 to 1.4 can be read",
                lines_.where());
  }
  product_.source = lines_.name();
  product_.version = *version;
  const std::string_view system = column(line.text, 20, 21);
  product_.system = system.empty() ? 'M' : system[0];
  bool typed = false;
  for (;;) {
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "PCV TYPE / REFANT") {
      const std::string_view type = column(line.text, 0, 1);
      if (type != "A" && type != "R") {
        return bad_head("PCV TYPE is neither A nor R");
      }
      product_.absolute = type == "A";
      product_.reference_type = column(line.text, 20, 40);
      product_.reference_serial = column(line.text, 40, kLabel);
      typed = true;
    } else if (line.label == "COMMENT") {
      if (++comments_ > kMaxComments) {
        return bad_head("too many comments");
      }
      product_.comments.emplace_back(trim_right(columns(line.text, 0, kLabel)));
    } else if (line.label == "END OF HEADER") {
      return typed ? ok() : Status(bad_head("PCV TYPE is missing"));
    } else {
      return bad_head("a line of no kind that the header has");
    }
  }
}

bool AntexReader::wanted(const AntennaPattern& antenna) const {
  if (antenna.satellite) {
    return options_.satellites;
  }
  if (!options_.receiver_types) {
    return true;
  }
  const auto& types = *options_.receiver_types;
  return std::any_of(types.begin(), types.end(), [&](const std::string& type) {
    return trim_right(type) == antenna.type;
  });
}

Status AntexReader::skip_antenna() {
  Line line;
  do {
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "START OF ANTENNA") {
      return bad("an antenna begins inside another");
    }
  } while (line.label != "END OF ANTENNA");
  return ok();
}

Status AntexReader::take_type(const Line& line, AntennaPattern& antenna) {
  antenna.type = trim_right(columns(line.text, 0, 20));
  antenna.serial = column(line.text, 20, 40);
  antenna.svn = column(line.text, 40, 50);
  antenna.cospar = column(line.text, 50, kLabel);
  if (antenna.type.empty()) {
    return bad("the antenna has no type");
  }
  if (antenna.serial.size() == 3 && !antenna.svn.empty()) {
    antenna.satellite = parse_satellite(antenna.serial);
  }
  typed_ = true;
  return ok();
}

Status AntexReader::take_validity(const Line& line,
                                  std::optional<GnssTime>& into) {
  const auto year = to_integer(column(line.text, 0, 6));
  const auto month = to_integer(column(line.text, 6, 12));
  const auto day = to_integer(column(line.text, 12, 18));
  const auto hour = to_integer(column(line.text, 18, 24));
  const auto minute = to_integer(column(line.text, 24, 30));
  const auto second = to_number(column(line.text, 30, 43));
  if (!year || !month || !day || !hour || !minute || !second) {
    return bad("the validity does not hold a date and a time");
  }
  const auto time = from_calendar(
      Calendar{*year, *month, *day, *hour, *minute, *second}, TimeScale::kGps);
  if (!time) {
    return bad("the validity is no date: " + time.error().what);
  }
  into = *time;
  return ok();
}

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

Status AntexReader::take_antenna_line(const Line& line,
                                      AntennaPattern& antenna) {
  if (line.label == "METH / BY / # / DATE") {
    antenna.method = column(line.text, 0, 20);
    antenna.agency = column(line.text, 20, 40);
    antenna.calibrated = to_integer(column(line.text, 40, 46)).value_or(0);
    antenna.date = column(line.text, 50, kLabel);
    return ok();
  }
  if (line.label == "DAZI") {
    return take_azimuth(line, antenna);
  }
  if (line.label == "ZEN1 / ZEN2 / DZEN") {
    return take_zenith(line, antenna);
  }
  if (line.label == "# OF FREQUENCIES") {
    return ok();  // files that were cut down by hand keep the old number
  }
  if (line.label == "VALID FROM") {
    return take_validity(line, antenna.valid_from);
  }
  if (line.label == "VALID UNTIL") {
    return take_validity(line, antenna.valid_until);
  }
  if (line.label == "SINEX CODE") {
    antenna.sinex_code = column(line.text, 0, 10);
    return ok();
  }
  if (line.label == "COMMENT") {
    if (++comments_ > kMaxComments) {
      return fail(ErrorCode::kTooLarge, "too many comments", lines_.where());
    }
    antenna.comments.emplace_back(trim_right(columns(line.text, 0, kLabel)));
    return ok();
  }
  if (line.label == "START OF FREQUENCY") {
    return read_frequency(column(line.text, 3, 6), antenna);
  }
  if (line.label == "START OF FREQ RMS") {
    return skip_rms();
  }
  return bad("a line of no kind that antennas have");
}

Status AntexReader::read_antenna() {
  AntennaPattern antenna;
  zeniths_ = azimuths_ = 0;
  azimuth_step_deg_ = 0;
  typed_ = false;
  for (;;) {
    Line line;
    if (auto more = need(line); !more) {
      return more;
    }
    if (line.label == "TYPE / SERIAL NO" && !typed_) {
      if (auto taken = take_type(line, antenna); !taken) {
        return taken;
      }
      if (!wanted(antenna)) {
        return skip_antenna();
      }
      continue;
    }
    if (line.label == "END OF ANTENNA") {
      break;
    }
    if (!typed_ && line.label != "COMMENT") {
      return bad("an antenna that does not begin with its type");
    }
    if (auto taken = take_antenna_line(line, antenna); !taken) {
      return taken;
    }
  }
  if (!typed_ || zeniths_ == 0) {
    return bad("the antenna has no type or no grid");
  }
  const auto& at = options_.satellites_at;
  const bool in_use = !antenna.satellite || !at ||
                      ((!antenna.valid_from || *antenna.valid_from <= *at) &&
                       (!antenna.valid_until || *at <= *antenna.valid_until));
  if (in_use) {
    if (product_.antennas.size() >= kMaxAntennas) {
      return fail(ErrorCode::kTooLarge,
                  "more than " + std::to_string(kMaxAntennas) + " antennas",
                  lines_.where());
    }
    product_.antennas.push_back(std::move(antenna));
  }
  return ok();
}

Result<AntennaProduct> AntexReader::read() {
  if (auto head = read_head(); !head) {
    return fail(std::move(head.error()));
  }
  for (;;) {
    Line line;
    const auto more = next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return std::move(product_);
    }
    if (line.label == "START OF ANTENNA") {
      if (auto antenna = read_antenna(); !antenna) {
        return fail(std::move(antenna.error()));
      }
    } else if (line.label != "COMMENT" && !trim(line.text).empty()) {
      return bad("text outside the antennas");
    }
  }
}

}  // namespace

Result<AntennaProduct> read_antex(std::unique_ptr<ByteStream> stream,
                                  AntexReaderOptions options) {
  return AntexReader(std::move(stream), std::move(options)).read();
}

}  // namespace stillpoint::products
