#include "stillpoint/rinex/navigation_writer.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <tuple>
#include <utility>
#include <vector>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/rinex/navigation_record_parts.h"
#include "stillpoint/rinex/navigation_records.h"
#include "stillpoint/rinex/navigation_writer_parts.h"

namespace stillpoint::rinex {
namespace {

constexpr std::string_view kNotAsked = "the file is for another system";
// More than any word of a message; our reader takes larger ones for damage.
constexpr double kTooLargeWord = 1e9;

bool is_printable(std::string_view text) {
  return std::all_of(
      text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; });
}

Status check_text(std::string_view text, std::size_t width, const char* what) {
  if (text.size() > width) {
    return fail(ErrorCode::kOutOfRange,
                std::string(what) + " '" + std::string(text) +
                    "' has more than " + std::to_string(width) + " characters",
                {},
                "Shorten it.");
  }
  if (!is_printable(text)) {
    return fail(ErrorCode::kOutOfRange,
                std::string(what) + " has characters outside of ASCII",
                {},
                "Write it in plain ASCII.");
  }
  return ok();
}

std::string padded(std::string_view text, std::size_t width) {
  std::string result(text);
  result.resize(width, ' ');
  return result;
}

// A set on its way into the file.
struct Row {
  GnssTime time;
  SatId sat;
  NavMessage message = NavMessage::kLnav;
  std::string text;
};

class Writer {
 public:
  Writer(const NavigationData& data,
         const NavigationWriterOptions& options,
         LeftOutValues& left_out)
      : data_(data), options_(options), left_out_(left_out) {}

  Status write(ByteSink& sink);

 private:
  [[nodiscard]] Status check() const;
  [[nodiscard]] std::string first_line() const;
  std::string header();
  void add(const KeplerEphemeris& e);
  void add(const StateEphemeris& e);
  void add(SatId sat,
           NavMessage message,
           GnssTime time,
           const nav::RecordText& record);
  // Whether a set has a place in the file; counts it where not.
  bool is_held(SatId sat, NavMessage message, bool plausible);
  bool leave_out(SatId sat, std::string_view why);

  const NavigationData& data_;
  const NavigationWriterOptions& options_;
  LeftOutValues& left_out_;
  std::vector<Row> rows_;
};

Status Writer::check() const {
  constexpr std::size_t kPart = 20, kLine = 60;
  const std::optional<System> only = options_.only;
  if (options_.version == Version::k211 && only != System::kGps &&
      only != System::kGlonass && only != System::kSbas) {
    return fail(ErrorCode::kUnsupported,
                "a navigation file of version 2.11 holds one of GPS, GLONASS "
                "and SBAS",
                {},
                "Name one of them, or write version 3.05 or 4.02.");
  }
  for (const auto& [text, what] : {std::pair<const std::string&, const char*>{
                                       options_.program, "the program's name"},
                                   {options_.run_by, "the name of who runs it"},
                                   {options_.run_date, "the date"}}) {
    if (Status fits = check_text(text, kPart, what); !fits) {
      return fits;
    }
  }
  for (const std::string& comment : options_.comments) {
    if (Status fits = check_text(comment, kLine, "the comment"); !fits) {
      return fits;
    }
  }
  const int leap = options_.leap_seconds.value_or(0);
  if (leap < 0 || leap > 99) {
    return fail(ErrorCode::kOutOfRange,
                "leap seconds " + std::to_string(leap) + " are not 0 .. 99");
  }
  return ok();
}

std::string Writer::first_line() const {
  const std::optional<System> only = options_.only;
  std::string text;
  if (options_.version == Version::k211) {
    text = padded("     2.11", 20);
    text += only == System::kGps       ? "N: GPS NAV DATA"
            : only == System::kGlonass ? "G: GLONASS NAV DATA"
                                       : "H: GEO NAV MSG DATA";
  } else if (options_.version == Version::k305) {
    text = padded("     3.05", 20) + padded("N: GNSS NAV DATA", 20);
  } else {
    text = padded("     4.02", 20) + padded("NAVIGATION DATA", 20);
  }
  if (options_.version != Version::k211) {
    text += only ? system_letter(*only) : 'M';
    text += ": ";
    text += only ? system_name(*only) : "MIXED";
  }
  return nav::header_text(text, "RINEX VERSION / TYPE");
}

std::string Writer::header() {
  std::string text = first_line();
  text += nav::header_text(padded(options_.program, 20) +
                               padded(options_.run_by, 20) + options_.run_date,
                           "PGM / RUN BY / DATE");
  for (const std::string& comment : options_.comments) {
    text += nav::header_text(comment, "COMMENT");
  }
  if (options_.version != Version::k402) {
    text += nav::ionosphere_lines(
        data_.ionosphere, options_.version, options_.only, left_out_);
  }
  const auto leap =
      options_.leap_seconds ? options_.leap_seconds : data_.leap_seconds;
  if (leap) {
    text += nav::header_text(nav::aligned(*leap, 6), "LEAP SECONDS");
  }
  text += nav::header_text("", "END OF HEADER");
  return text;
}

bool Writer::leave_out(SatId sat, std::string_view why) {
  std::string what = "sets of ";
  what += system_name(sat.system);
  what += ": ";
  what += why;
  ++left_out_[what];
  return false;
}

bool Writer::is_held(SatId sat, NavMessage message, bool plausible) {
  if (options_.only && options_.only != sat.system) {
    return leave_out(sat, kNotAsked);
  }
  const char* name = message_name(message);
  if (nav::message_from_name(sat.system, name) != message) {
    return leave_out(sat, std::string("the system has no message ") + name);
  }
  const bool is_new =
      message == NavMessage::kCnav || message == NavMessage::kCnav2 ||
      message == NavMessage::kBcnav1 || message == NavMessage::kBcnav2 ||
      message == NavMessage::kBcnav3;
  if (is_new && options_.version != Version::k402) {
    return leave_out(sat, std::string("the version has no message ") + name);
  }
  return plausible ||
         leave_out(sat, "the numbers cannot be an orbit and clock");
}

void Writer::add(SatId sat,
                 NavMessage message,
                 GnssTime time,
                 const nav::RecordText& record) {
  const Calendar calendar = to_calendar(time, nav::scale_of(sat.system));
  const auto head = nav::record_head(sat.text(), calendar, options_.version);
  if (!head) {
    leave_out(sat, "the reference time has too many digits");
    return;
  }
  if (!record.fits()) {
    leave_out(sat, "a number is too large");
    return;
  }
  Row row{time, sat, message, {}};
  if (options_.version == Version::k402) {
    row.text = "> EPH ";
    row.text += sat.text();
    row.text += ' ';
    row.text += message_name(message);
    row.text += '\n';
  }
  row.text += record.text(*head, options_.version);
  rows_.push_back(std::move(row));
}

void Writer::add(const KeplerEphemeris& e) {
  if (!is_held(e.sat, e.message, is_plausible(e))) {
    return;
  }
  const bool cnav =
      e.message == NavMessage::kCnav || e.message == NavMessage::kCnav2;
  if (cnav && e.toe != e.toc) {
    leave_out(e.sat, "CNAV has one reference time for orbit and clock");
    return;
  }
  if (e.health >= kTooLargeWord || e.data_sources >= kTooLargeWord ||
      std::abs(1.0 * e.iode) >= kTooLargeWord ||
      std::abs(1.0 * e.iodc) >= kTooLargeWord) {
    leave_out(e.sat, "a word is larger than any message's");
    return;
  }
  add(e.sat,
      e.message,
      e.toc,
      nav::kepler_record(e, options_.version, left_out_));
}

void Writer::add(const StateEphemeris& e) {
  if (is_held(e.sat, e.message, is_plausible(e))) {
    add(e.sat,
        e.message,
        e.toe,
        nav::state_record(e, options_.version, left_out_));
  }
}

Status Writer::write(ByteSink& sink) {
  if (Status fits = check(); !fits) {
    return fits;
  }
  std::string text = header();
  if (options_.version == Version::k402) {
    text += nav::ionosphere_records(data_, options_.only, left_out_);
  }
  if (Status written = sink.write(text); !written) {
    return written;
  }
  for (const KeplerEphemeris& e : data_.kepler) {
    add(e);
  }
  for (const StateEphemeris& e : data_.state) {
    add(e);
  }
  std::stable_sort(rows_.begin(), rows_.end(), [](const Row& a, const Row& b) {
    return std::tie(a.time, a.sat, a.message) <
           std::tie(b.time, b.sat, b.message);
  });
  for (const Row& row : rows_) {
    if (Status written = sink.write(row.text); !written) {
      return written;
    }
  }
  return ok();
}

}  // namespace

Status write_navigation(const NavigationData& data,
                        const NavigationWriterOptions& options,
                        ByteSink& sink,
                        LeftOutValues& left_out) {
  return Writer(data, options, left_out).write(sink);
}

}  // namespace stillpoint::rinex
