#include "stillpoint/rinex/header_parser.h"

#include <array>
#include <utility>

#include "stillpoint/rinex/field_text.h"

namespace stillpoint::rinex {
namespace {

using field::part;
using field::quoted;
using field::trim;
using field::trim_right;
using field::upper;

// Far more lines than any header of a real station.
constexpr std::size_t kMaxHeaderLines = 20'000;
constexpr std::size_t kMaxComments = 5'000;

tl::unexpected<Error> bad(std::string what) {
  return fail(ErrorCode::kBadHeader, std::move(what));
}

// Scale that a header leaves out: that of the file's one system.
TimeScale default_scale(char system) {
  switch (system) {
    case 'R':
      return TimeScale::kGlonass;
    case 'E':
      return TimeScale::kGalileo;
    case 'C':
      return TimeScale::kBeidou;
    case 'J':
      return TimeScale::kQzss;
    default:
      return TimeScale::kGps;
  }
}

std::optional<TimeScale> scale_of(std::string_view name, char system) {
  const std::string text = upper(trim(name));
  if (text.empty()) {
    return default_scale(system);
  }
  // NavIC time (IRN) is nominally GPST.
  constexpr std::array<std::pair<std::string_view, TimeScale>, 8> kNames{
      {{"GPS", TimeScale::kGps},
       {"GLO", TimeScale::kGlonass},
       {"GAL", TimeScale::kGalileo},
       {"QZS", TimeScale::kQzss},
       {"BDT", TimeScale::kBeidou},
       {"BDS", TimeScale::kBeidou},
       {"IRN", TimeScale::kGps},
       {"UTC", TimeScale::kUtc}}};
  for (const auto& [known, scale] : kNames) {
    if (text == known) {
      return scale;
    }
  }
  return std::nullopt;
}

// 5I6,F13.7; nothing when it cannot be read.
std::optional<GnssTime> header_time(std::string_view text, TimeScale scale) {
  Calendar c;
  const std::array<int*, 5> parts{
      &c.year, &c.month, &c.day, &c.hour, &c.minute};
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const auto value = field::integer(part(text, 6 * i, 6));
    if (!value) {
      return std::nullopt;
    }
    *parts[i] = *value;
  }
  const auto second = field::real(part(text, 30, 13));
  if (!second) {
    return std::nullopt;
  }
  c.second = *second;
  const auto time = from_calendar(c, scale);
  return time ? std::optional(*time) : std::nullopt;
}

std::optional<std::array<double, 3>> three_f14(std::string_view text) {
  std::array<double, 3> values{};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto value = field::real(part(text, 14 * i, 14));
    if (!value) {
      return std::nullopt;
    }
    values[i] = *value;
  }
  return values;
}

}  // namespace

Status HeaderParser::first_line(std::string_view text) {
  if (upper(trim(part(text, 60, 20))) != "RINEX VERSION / TYPE") {
    return bad("the first line is not a RINEX version line: " + quoted(text));
  }
  const auto version = field::real(part(text, 0, 9));
  if (!version) {
    return bad("the version cannot be read: " + quoted(part(text, 0, 20)));
  }
  if (*version < 2 || *version >= 5) {
    return fail(ErrorCode::kUnsupported,
                "RINEX version " + quoted(part(text, 0, 9)) +
                    ", this program reads 2.x, 3.x and 4.x");
  }
  const auto kind = trim(part(text, 20, 20));
  if (kind.empty() || upper(kind[0]) != 'O') {
    return fail(
        ErrorCode::kBadFormat,
        "the file is of kind " + quoted(kind) + ", not an observation file");
  }
  header_.version = *version;
  const auto system = part(text, 40, 1);
  header_.system = system.empty() || system[0] == ' ' ? 'G' : upper(system[0]);
  header_.scale = default_scale(header_.system);
  return ok();
}

Status HeaderParser::line(std::string_view text) {
  if (++lines_ > kMaxHeaderLines) {
    return fail(ErrorCode::kTooLarge, "more than 20000 header lines");
  }
  if (header_.version == 0) {
    return first_line(text);
  }
  if (!updating_ && !text.empty() && text[0] == '>') {
    return bad("observations begin before END OF HEADER");
  }
  const std::string label = upper(trim(part(text, 60, 21)));
  // The many rows of this table repeat what the data say.
  if (label.empty() || label == "PRN / # OF OBS") {
    return ok();
  }
  if (label == "COMMENT") {
    if (header_.comments.size() < kMaxComments) {
      header_.comments.emplace_back(trim_right(part(text, 0, 60)));
    }
    return ok();
  }
  if (label == "END OF HEADER") {
    ended_ = true;
    return ok();
  }
  const auto content = part(text, 0, 60);
  for (const auto take : {&HeaderParser::station_line,
                          &HeaderParser::signal_line,
                          &HeaderParser::time_line}) {
    Status status = (this->*take)(content, label);
    if (!status) {
      return status;
    }
  }
  return ok();
}

Status HeaderParser::station_line(std::string_view text,
                                  std::string_view label) {
  const auto word = [&](std::size_t first, std::size_t count) {
    return std::string(trim_right(part(text, first, count)));
  };
  if (label == "PGM / RUN BY / DATE") {
    header_.program = word(0, 20);
    header_.run_by = word(20, 20);
    header_.run_date = word(40, 20);
  } else if (label == "OBSERVER / AGENCY") {
    header_.observer = word(0, 20);
    header_.agency = word(20, 40);
  } else if (label == "MARKER NAME") {
    header_.marker_name = trim(part(text, 0, 60));
  } else if (label == "MARKER NUMBER") {
    header_.marker_number = trim(part(text, 0, 20));
  } else if (label == "MARKER TYPE") {
    header_.marker_type = trim(part(text, 0, 20));
  } else if (label == "REC # / TYPE / VERS") {
    header_.receiver_serial = word(0, 20);
    header_.receiver_type = word(20, 20);
    header_.receiver_version = word(40, 20);
  } else if (label == "ANT # / TYPE") {
    header_.antenna_serial = word(0, 20);
    header_.antenna_type = word(20, 20);
  } else if (label == "APPROX POSITION XYZ") {
    const auto p = three_f14(text);
    if (!p && !trim(part(text, 0, 42)).empty()) {
      return bad("the approximate position cannot be read: " + quoted(text));
    }
    header_.approx_position_m.reset();
    if (p && ((*p)[0] != 0 || (*p)[1] != 0 || (*p)[2] != 0)) {
      header_.approx_position_m = Ecef{(*p)[0], (*p)[1], (*p)[2]};
    }
  } else if (label == "ANTENNA: DELTA H/E/N") {
    const auto d = three_f14(text);
    if (!d) {
      return bad("the antenna offsets cannot be read: " + quoted(text));
    }
    header_.antenna_delta_enu_m = Enu{(*d)[1], (*d)[2], (*d)[0]};
  }
  return ok();
}

Status HeaderParser::time_line(std::string_view text, std::string_view label) {
  if (label == "INTERVAL") {
    const auto interval = field::real(part(text, 0, 10));
    header_.interval_s =
        interval && *interval > 0 ? interval : std::optional<double>();
  } else if (label == "TIME OF FIRST OBS" || label == "TIME OF LAST OBS") {
    const bool is_first = label == "TIME OF FIRST OBS";
    const auto scale = scale_of(part(text, 48, 3), header_.system);
    if (!scale) {
      return bad("unknown time system " + quoted(part(text, 48, 3)));
    }
    if (is_first) {
      header_.scale = *scale;
    }
    (is_first ? header_.first_obs : header_.last_obs) =
        header_time(text, *scale);
  } else if (label == "RCV CLOCK OFFS APPL") {
    header_.clock_offset_applied =
        field::integer(part(text, 0, 6)).value_or(0) == 1;
  } else if (label == "LEAP SECONDS") {
    leap_seconds_line(text);
  }
  return ok();
}

void HeaderParser::leap_seconds_line(std::string_view text) {
  const auto leap = field::integer(part(text, 0, 6));
  if (!leap || *leap < -1000 || *leap > 1000) {
    return;
  }
  // "BDS" in column 24: counted from BDT, which is 14 s behind GPST.
  const bool from_bdt = trim(part(text, 24, 3)) == "BDS";
  header_.leap_seconds = *leap + (from_bdt ? 14 : 0);
}

Status HeaderParser::signal_line(std::string_view text,
                                 std::string_view label) {
  if (label == "# / TYPES OF OBSERV") {
    return types2_line(text);
  }
  if (label == "SYS / # / OBS TYPES") {
    return types3_line(text);
  }
  if (label == "SYS / SCALE FACTOR") {
    return scale_line(text);
  }
  if (label == "SYS / PHASE SHIFT" || label == "SYS / PHASE SHIFTS") {
    phase_shift_line(text);
  } else if (label == "GLONASS SLOT / FRQ #") {
    glonass_slot_line(text);
  } else if (label == "GLONASS COD/PHS/BIS" ||
             label == "GLONASS COD/PHS/BIS#") {
    glonass_bias_line(text);
  }
  return ok();
}

Status HeaderParser::finish() {
  if (header_.version < 3 && (types2_.announced < 0 || !types2_.full())) {
    return bad("the observation types are missing or incomplete");
  }
  bool any = false;
  for (const System system : kSystems) {
    Status built = build_columns(system);
    if (!built) {
      return built;
    }
    const auto index = static_cast<std::size_t>(system);
    // A version 2 file of one system declares its list for that one only.
    const bool declared = header_.version >= 3 ||
                          !system_from_letter(header_.system) ||
                          system_letter(system) == header_.system;
    header_.columns[index] =
        declared ? all_columns_[index] : std::vector<Column>();
    any = any || !header_.columns[index].empty();
  }
  if (!any) {
    return bad("the header lists no observation types");
  }
  return ok();
}

void HeaderParser::begin_update() {
  updating_ = true;
  lines_ = 0;
  open_list_ = nullptr;
  shift_satellites_left_ = 0;
}

}  // namespace stillpoint::rinex
