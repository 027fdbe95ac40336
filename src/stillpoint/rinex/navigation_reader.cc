#include "stillpoint/rinex/navigation_reader.h"

#include <algorithm>
#include <utility>

#include "stillpoint/pack/line_reader.h"
#include "stillpoint/rinex/navigation_ionosphere.h"
#include "stillpoint/rinex/navigation_records.h"

namespace stillpoint::rinex {
namespace {

using nav::columns;
using nav::is_blank;
using nav::RawRecord;

constexpr std::size_t kMaxHeaderLines = 10'000;
// Twenty days of every satellite, more than any file; bounds the memory.
constexpr std::size_t kMaxRecords = 200'000;
constexpr std::size_t kLabelColumn = 60;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

std::string_view label_of(std::string_view line) {
  std::string_view label = columns(line, kLabelColumn, 20);
  while (!label.empty() && label.back() == ' ') {
    label.remove_suffix(1);
  }
  return label;
}

// The letter of a file's satellites where records do not say it; nothing for
// kinds of version 2 that are no navigation data.
std::optional<char> letter_of_kind(char kind) {
  switch (kind) {
    case 'N':
      return 'G';
    case 'G':
      return 'R';
    case 'H':
      return 'S';
    case 'L':
      return 'E';
    case 'J':
      return 'J';
    default:
      return std::nullopt;
  }
}

class Reader {
 public:
  explicit Reader(std::unique_ptr<ByteStream> stream)
      : lines_(std::move(stream)) {}

  Result<NavigationFile> read();

 private:
  Status read_header();
  Status read_first_line(std::string_view line);
  void take_header_line(std::string_view line, std::string_view label);
  Status read_records();

  [[nodiscard]] bool starts_record(std::string_view line) const;
  void begin_record(std::string_view line);
  void append_line(std::string_view line);
  Status finish_record();
  void decode_old();
  void decode_new();
  void decode(const nav::RecordHead& head, std::optional<NavMessage> stated);

  void report(std::size_t line, std::string what);
  [[nodiscard]] GnssTime middle() const;

  LineReader lines_;
  NavigationFile file_;
  nav::IonosphereCollector ionosphere_;
  char blank_letter_ = 'G';
  bool open_ = false;  // a record is being gathered
  RawRecord record_;
  std::size_t records_ = 0;
};

void Reader::report(std::size_t line, std::string what) {
  ++file_.problem_count;
  if (file_.problems.size() < ObservationReader::kMaxProblems) {
    file_.problems.push_back(
        {lines_.name() + ":" + std::to_string(line), std::move(what)});
  }
}

Status Reader::read_first_line(std::string_view line) {
  const nav::Number version = nav::parse_number(columns(line, 0, 9));
  if (label_of(line) != "RINEX VERSION / TYPE" ||
      version.kind != nav::Number::Kind::kValue) {
    return fail(ErrorCode::kBadHeader,
                "the file does not begin with RINEX VERSION / TYPE",
                lines_.where());
  }
  file_.version = version.value;
  if (file_.version < 2 || file_.version >= 5) {
    return fail(ErrorCode::kUnsupported,
                "RINEX version '" + std::string(columns(line, 0, 9)) +
                    "' is not one of 2.xx, 3.0x, 4.0x",
                lines_.where());
  }
  const std::string_view kind = columns(line, 20, 1);
  const std::optional<char> letter =
      kind.empty() ? std::nullopt : letter_of_kind(kind.front());
  if (!letter || (file_.version >= 3 && kind != "N")) {
    return fail(ErrorCode::kBadHeader,
                "kind '" + std::string(kind) + "' is no navigation file",
                lines_.where());
  }
  blank_letter_ = *letter;
  return ok();
}

void Reader::take_header_line(std::string_view line, std::string_view label) {
  bool readable = true;
  if (label == "ION ALPHA" || label == "ION BETA") {
    readable = ionosphere_.add_header_v2(line, label == "ION BETA");
  } else if (label == "IONOSPHERIC CORR") {
    readable = ionosphere_.add_header_v3(line);
  } else if (label == "LEAP SECONDS") {
    // BeiDou counts from its own beginning, 14 s later.
    const bool beidou = columns(line, 24, 3) == "BDS";
    if (const auto n = nav::parse_whole(columns(line, 0, 6));
        n && *n >= 0 && *n < 100) {
      file_.data.leap_seconds = *n + (beidou ? 14 : 0);
    } else {
      readable = false;
    }
  }
  if (!readable) {
    report(lines_.line_number(),
           "header line " + std::string(label) + " is not readable");
  }
}

Status Reader::read_header() {
  std::string_view line;
  for (std::size_t n = 0; n < kMaxHeaderLines; ++n) {
    const Result<bool> more = lines_.next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return fail(ErrorCode::kTruncated,
                  "the file ends before END OF HEADER",
                  lines_.where());
    }
    if (n == 0) {
      if (Status first = read_first_line(line); !first) {
        return first;
      }
      continue;
    }
    const std::string_view label = label_of(line);
    if (label == "END OF HEADER") {
      return ok();
    }
    take_header_line(line, label);
  }
  return fail(
      ErrorCode::kBadHeader, "END OF HEADER is missing", lines_.where());
}

// Version 4 marks every record; before, a satellite stands at the start of a
// line that otherwise begins with blanks.
bool Reader::starts_record(std::string_view line) const {
  if (file_.version >= 4) {
    return line.front() == '>';
  }
  if (file_.version >= 3) {
    return line.front() != ' ';
  }
  return is_digit(line.front()) || (line.size() > 1 && is_digit(line[1]));
}

void Reader::begin_record(std::string_view line) {
  open_ = true;
  record_.head.clear();
  record_.lines.clear();
  record_.extra = 0;
  record_.at_end = false;
  record_.first_line = lines_.line_number();
  if (file_.version >= 4) {
    record_.head = line.substr(0, 80);
  } else {
    append_line(line);
  }
}

void Reader::append_line(std::string_view line) {
  if (record_.lines.size() < RawRecord::kMaxLines) {
    record_.lines.emplace_back(line.substr(0, 80));
  } else {
    ++record_.extra;
  }
}

Status Reader::finish_record() {
  if (!open_) {
    return ok();
  }
  open_ = false;
  if (++records_ > kMaxRecords) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxRecords) + " records",
                lines_.where());
  }
  if (file_.version >= 4) {
    decode_new();
  } else {
    decode_old();
  }
  return ok();
}

void Reader::decode_old() {
  auto head = nav::parse_head(record_.lines[0], file_.version, blank_letter_);
  if (!head) {
    report(record_.first_line, std::move(head.error().what));
    return;
  }
  decode(*head, std::nullopt);
}

void Reader::decode_new() {
  const std::string_view head = record_.head;
  const std::string_view kind = columns(head, 2, 3);
  if (kind == "STO" || kind == "EOP") {
    ++file_.skipped;
    return;
  }
  if (kind == "ION") {
    auto used = ionosphere_.add_record(record_, file_.version);
    if (!used) {
      report(record_.first_line, std::move(used.error().what));
    } else if (!*used) {
      ++file_.skipped;
    }
    return;
  }
  const auto sat = parse_satellite(columns(head, 6, 3));
  if (kind != "EPH" || !sat) {
    report(record_.first_line, "'" + record_.head + "' is not a record's head");
    return;
  }
  std::string_view name = columns(head, 10, 4);
  name = name.substr(0, name.find(' '));
  const auto message = nav::message_from_name(sat->system, name);
  if (!message) {
    ++file_.skipped;
    return;
  }
  const std::string_view first =
      record_.lines.empty() ? std::string_view{} : record_.lines[0];
  auto inner = nav::parse_head(first, file_.version, blank_letter_);
  if (!inner || inner->sat != *sat) {
    report(record_.first_line,
           inner ? "'" + record_.head + "' stands above a record of " +
                       inner->sat.text()
                 : std::move(inner.error().what));
    return;
  }
  decode(*inner, message);
}

void Reader::decode(const nav::RecordHead& head,
                    std::optional<NavMessage> stated) {
  const NavMessage message = stated.value_or(nav::message_of_old(head.sat));
  const System system = head.sat.system;
  const std::size_t most = nav::lines_of(system, message).most;
  if (record_.lines.size() + record_.extra > most) {
    // What follows a whole record belongs to one whose first line is damaged.
    report(record_.first_line + most,
           head.sat.text() + ": lines behind the record's end");
    record_.at_end = false;
    record_.lines.resize(std::min(record_.lines.size(), most));
  }
  const auto keep = [this](auto result, auto& into) {
    if (result) {
      into.push_back(std::move(*result));
    } else {
      report(record_.first_line, std::move(result.error().what));
    }
  };
  if (system == System::kGlonass || system == System::kSbas) {
    keep(nav::decode_state(record_, head, file_.version), file_.data.state);
  } else {
    keep(nav::decode_kepler(record_, head, stated, file_.version),
         file_.data.kepler);
  }
}

Status Reader::read_records() {
  std::string_view line;
  bool told = false;  // about lines outside of records
  for (;;) {
    const Result<bool> more = lines_.next(line);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      record_.at_end = true;
      return finish_record();
    }
    if (is_blank(line)) {
      continue;
    }
    if (starts_record(line)) {
      if (Status finished = finish_record(); !finished) {
        return finished;
      }
      begin_record(line);
    } else if (open_) {
      append_line(line);
    } else if (!std::exchange(told, true)) {
      report(lines_.line_number(), "a line outside of any record");
    }
  }
}

// Half way through the reference times, for the choice of ionosphere sets.
GnssTime Reader::middle() const {
  std::optional<GnssTime> first, last;
  const auto widen = [&first, &last](GnssTime t) {
    first = first ? std::min(*first, t) : t;
    last = last ? std::max(*last, t) : t;
  };
  for (const KeplerEphemeris& e : file_.data.kepler) {
    widen(e.toe);
  }
  for (const StateEphemeris& e : file_.data.state) {
    widen(e.toe);
  }
  return first ? *first + Duration{(*last - *first).s / 2} : GnssTime();
}

Result<NavigationFile> Reader::read() {
  if (Status header = read_header(); !header) {
    return fail(std::move(header.error()));
  }
  if (Status records = read_records(); !records) {
    return fail(std::move(records.error()));
  }
  file_.data.ionosphere = ionosphere_.pick(middle());
  return std::move(file_);
}

}  // namespace

Result<NavigationFile> read_navigation(std::unique_ptr<ByteStream> stream) {
  return Reader(std::move(stream)).read();
}

}  // namespace stillpoint::rinex
