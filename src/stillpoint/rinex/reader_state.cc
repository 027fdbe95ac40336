#include "stillpoint/rinex/reader_state.h"

#include <utility>

#include "stillpoint/rinex/field_text.h"

namespace stillpoint::rinex {
namespace {

// Events are kept for their reader, but a file of nothing but events must not
// fill the memory.
constexpr std::size_t kMaxEvents = 10'000;
constexpr std::size_t kMaxEventBytes = 1'000'000;

}  // namespace

Result<int> read_compression(LineSource& lines) {
  std::string_view line;
  Result<bool> got = lines.next(line);
  if (!got) {
    return fail(std::move(got.error()));
  }
  if (!*got ||
      field::trim(field::part(line, 60, 20)) != "CRINEX VERS   / TYPE") {
    if (*got) {
      lines.push_back();
    }
    return 0;
  }
  const auto version = field::real(field::part(line, 0, 20));
  if (!version || (*version != 1 && *version != 3)) {
    return fail(ErrorCode::kUnsupported,
                "Hatanaka compression version '" +
                    std::string(field::trim(field::part(line, 0, 20))) +
                    "', this program reads 1.0 and 3.0",
                lines.where());
  }
  const int result = *version == 1 ? 1 : 3;
  got = lines.next(line);
  if (!got) {
    return fail(std::move(got.error()));
  }
  return result;
}

Status ReaderState::read_header() {
  std::string_view line;
  while (!header.ended()) {
    Result<bool> got = lines.next(line);
    if (!got) {
      return fail(std::move(got.error()));
    }
    if (!*got) {
      return fail(ErrorCode::kTruncated,
                  lines.number() == 0 ? "the file is empty"
                                      : "the file ends inside its header",
                  lines.where(),
                  "copy or download the file again");
    }
    Status status = header.line(line);
    if (!status) {
      status.error().where = lines.where();
      return status;
    }
  }
  Status status = header.finish();
  if (!status) {
    status.error().where = lines.where();
    return status;
  }
  heads = EpochHeadParser(header.header().version, header.header().scale);
  rebuild();
  return ok();
}

void ReaderState::rebuild() {
  heads.set_scale(header.header().scale);
  for (const System system : kSystems) {
    plans[static_cast<std::size_t>(system)] =
        make_row_plan(header.columns(system));
  }
}

void ReaderState::report(std::size_t line, std::string what) {
  ++problem_count;
  if (problems.size() < ObservationReader::kMaxProblems) {
    problems.push_back(Problem{lines.where(line), std::move(what)});
  }
}

Status ReaderState::check_problems() const {
  if (problem_count <= ObservationReader::kMaxProblems) {
    return ok();
  }
  return fail(ErrorCode::kBadFormat,
              "more than " + std::to_string(ObservationReader::kMaxProblems) +
                  " damaged places; the first: " + problems.front().where +
                  ": " + problems.front().what,
              lines.where(),
              "get the original file; this one is damaged throughout");
}

std::array<std::size_t, kSystemCount> ReaderState::column_counts() const {
  std::array<std::size_t, kSystemCount> counts{};
  for (std::size_t i = 0; i < counts.size(); ++i) {
    counts[i] = plans[i].columns.size();
  }
  return counts;
}

bool ReaderState::opens_epoch(std::string_view line) {
  if (!heads.may_open(line)) {
    return false;
  }
  EpochHead head;
  return !heads.is_version2() || heads.parse(line, true, head) == nullptr;
}

Result<bool> ReaderState::read_event(const EpochHead& head, bool& changed) {
  Event event;
  event.flag = head.flag;
  event.time = head.time;
  changed = false;
  header.begin_update();
  std::string wrong;
  bool has_header_lines = false;
  const bool keep = events.size() < kMaxEvents && event_bytes_ < kMaxEventBytes;
  for (int i = 0; i < head.count; ++i) {
    std::string_view line;
    Result<bool> got = lines.next(line);
    if (!got) {
      return got;
    }
    if (!*got) {
      report("the file ends inside an event record");
      return false;
    }
    if (opens_epoch(line)) {
      report("the event record has fewer lines than announced");
      lines.push_back();
      break;
    }
    if (keep) {
      event_bytes_ += line.size();
      event.lines.emplace_back(field::trim_right(line));
    }
    // Flag 5 carries no header lines; 2 to 4 may.
    if (head.flag == 5 || line.size() <= 60) {
      continue;
    }
    has_header_lines = true;
    const Status status = header.line(line);
    if (!status && wrong.empty()) {
      wrong = status.error().what;
    }
  }
  if (has_header_lines) {
    const auto before = column_counts();
    const Status finished = header.finish();
    if (!finished && wrong.empty()) {
      wrong = finished.error().what;
    }
    if (!wrong.empty()) {
      report("header lines of an event cannot be used: " + wrong);
    }
    rebuild();
    changed = column_counts() != before;
  }
  if (keep) {
    events.push_back(std::move(event));
  }
  return true;
}

std::optional<SatId> ReaderState::accept_new_satellite(std::string_view text) {
  const auto sat = parse_satellite(
      text, header.header().system == 'M' ? 'G' : header.header().system);
  if (!sat) {
    report("'" + std::string(text) + "' is not a satellite; left out");
    return std::nullopt;
  }
  auto& seen = last_seen_[static_cast<std::size_t>(sat->index())];
  if (seen == epoch_number_) {
    report("satellite " + sat->text() + " twice in one epoch; left out");
    return std::nullopt;
  }
  seen = epoch_number_;
  const auto system = static_cast<std::size_t>(sat->system);
  if (plans[system].columns.empty()) {
    if (!undeclared_reported_[system]) {
      undeclared_reported_[system] = true;
      report("satellite " + sat->text() + " belongs to " +
             system_name(sat->system) +
             ", for which the header lists no types; left out, as all of them");
    }
    return std::nullopt;
  }
  return sat;
}

}  // namespace stillpoint::rinex
