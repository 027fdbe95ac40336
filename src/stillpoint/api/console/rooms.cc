// What the rooms show: now, sky, stream, record, logbook, raw data.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <map>

#include "stillpoint/api/console/csv.h"
#include "stillpoint/api/console/documents.h"
#include "stillpoint/api/console/json_body.h"
#include "stillpoint/api/console/routes.h"
#include "stillpoint/net/http_file.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::api {
namespace {

constexpr double kDayS = 86'400;
constexpr double kMostDays = 400;

Problem malformed(const char* field, std::string detail) {
  return {400, "malformed", std::move(detail), "", field, {}};
}

struct Span {
  GnssTime from, to;
};

// The span that a query asks for.
tl::expected<Span, Problem> span_of(const Call& call) {
  constexpr double kUsualDays = 7;
  // The minute that is not over is part of it.
  Span span{{}, call.backend.data_now() + Duration{60}};
  if (const auto text = query_value(call.request, "to")) {
    const auto time = parse_time(*text);
    if (!time) {
      return tl::unexpected(malformed("to", "'to' is not a time."));
    }
    span.to = *time;
  }
  span.from = span.to - Duration{kUsualDays * kDayS};
  if (const auto text = query_value(call.request, "from")) {
    const auto time = parse_time(*text);
    if (!time) {
      return tl::unexpected(malformed("from", "'from' is not a time."));
    }
    span.from = *time;
  }
  if (!(span.from < span.to) || (span.to - span.from).s > kMostDays * kDayS) {
    return tl::unexpected(malformed(
        "from", "The span must end after it begins, within 400 days."));
  }
  return span;
}

Json hours_json(const RecordView& view, bool guest) {
  Json hours = Json::array();
  for (const HourView& hour : view.hours) {
    hours.push_back({{"start", time_text(hour.start)},
                     {"path", guest ? Json(nullptr) : text_or_null(hour.path)},
                     {"bytes", hour.bytes},
                     {"disk_bytes", hour.disk_bytes},
                     {"first_epoch", time_or_null(hour.first_epoch)},
                     {"last_epoch", time_or_null(hour.last_epoch)},
                     {"epochs", or_null(hour.epochs)},
                     {"open", hour.open}});
  }
  return hours;
}

// Times without data, as the logbook has them.
Json gaps_json(Store& store, const Span& span) {
  LogQuery query;
  query.from = span.from;
  query.end = span.to;
  query.kinds = {LogKind::kGap, LogKind::kBytesLost};
  query.limit = 1000;
  Json gaps = Json::array();
  const auto entries = store.logbook().read(query);
  if (!entries) {
    return gaps;
  }
  for (const StoredEntry& stored : *entries) {
    std::optional<GnssTime> from, to;
    std::string cause = stored.entry.text;
    for (const LogDetail& detail : stored.entry.details) {
      const auto* whole = std::get_if<std::int64_t>(&detail.value);
      if (detail.key == "from_gpst_ns" && whole != nullptr) {
        from = GnssTime::from_ns(*whole);
      } else if (detail.key == "end_gpst_ns" && whole != nullptr) {
        to = GnssTime::from_ns(*whole);
      } else if (detail.key == "cause") {
        if (const auto* text = std::get_if<std::string>(&detail.value)) {
          cause = *text;
        }
      }
    }
    gaps.push_back({{"from", time_text(from.value_or(stored.entry.at))},
                    {"to", time_text(to.value_or(stored.entry.at))},
                    {"cause", cause}});
  }
  return gaps;
}

// Columns of minutes that belong together; at most a week of single minutes,
// longer spans are thinned to every tenth.
Json minutes_json(Store& store, const Span& span) {
  Json at = Json::array(), epochs = Json::array(), satellites = Json::array(),
       strength = Json::array();
  struct Row {
    double epochs = 0, satellites = 0, satellite_samples = 0;
    double strength = 0, strength_samples = 0;
  };
  std::map<std::int64_t, Row> rows;
  const auto names = store.minutes().names();
  constexpr double kMostMinutes = 7 * 1440;
  const GnssTime from =
      std::max(span.from, span.to - Duration{60 * kMostMinutes});
  for (const std::string& name : names.value_or(std::vector<std::string>())) {
    const bool is_epochs = name == "epochs_received_count";
    const bool is_satellites = name.starts_with("satellites_count.");
    const bool is_strength = name.starts_with("cn0_mean_dbhz.");
    if (!is_epochs && !is_satellites && !is_strength) {
      continue;
    }
    const auto values = store.minutes().read(name, from, span.to);
    if (!values) {
      continue;
    }
    for (const MinuteAggregate& minute : *values) {
      Row& row = rows[minute.minute.ns()];
      if (is_epochs) {
        row.epochs += minute.sum;
      } else if (is_satellites) {
        row.satellites += minute.sum / static_cast<double>(minute.count);
        row.satellite_samples = 1;
      } else {
        row.strength += minute.sum;
        row.strength_samples += static_cast<double>(minute.count);
      }
    }
  }
  for (const auto& [ns, row] : rows) {
    at.push_back(unix_seconds(GnssTime::from_ns(ns)));
    epochs.push_back(row.epochs);
    satellites.push_back(row.satellite_samples > 0
                             ? rounded(row.satellites, 0.1)
                             : Json(nullptr));
    strength.push_back(row.strength_samples > 0
                           ? rounded(row.strength / row.strength_samples, 0.1)
                           : Json(nullptr));
  }
  return {{"unix_s", std::move(at)},
          {"epochs", std::move(epochs)},
          {"satellites", std::move(satellites)},
          {"cn0_dbhz", std::move(strength)}};
}

// Times are kept as whole nanoseconds of GPST under KEY_gpst_ns; readers of the
// API get KEY in UTC like every other time.
constexpr std::string_view kTimeTail = "_gpst_ns";

Json details_json(const LogEntry& entry, bool guest) {
  Json details = Json::object();
  for (const LogDetail& detail : entry.details) {
    // Who came from where is for those who look after the station.
    if (guest && (detail.key == "address" || detail.key == "user" ||
                  detail.key == "by")) {
      continue;
    }
    const std::string_view key = detail.key;
    const auto* whole = std::get_if<std::int64_t>(&detail.value);
    if (whole != nullptr && key.ends_with(kTimeTail)) {
      details[std::string(key.substr(0, key.size() - kTimeTail.size()))] =
          time_text(GnssTime::from_ns(*whole));
      continue;
    }
    std::visit([&](const auto& value) { details[detail.key] = value; },
               detail.value);
  }
  return details;
}

// Whose texts name people or rovers.
bool names_people(LogKind kind) {
  switch (kind) {
    case LogKind::kRoverCame:
    case LogKind::kRoverWent:
    case LogKind::kUserChanged:
    case LogKind::kClaimOpened:
    case LogKind::kClaimed:
    case LogKind::kClaimRefused:
    case LogKind::kSignedIn:
    case LogKind::kSignedOut:
    case LogKind::kSignInRefused:
    case LogKind::kExportMade:
    case LogKind::kSolveStarted:
      return true;
    default:
      return false;
  }
}

}  // namespace

net::HttpResponse get_now(Call& call) {
  return json_answer(
      200, now_document(call.backend.now(), call.backend.facts().simulated));
}

net::HttpResponse get_sky(Call& call) {
  return json_answer(200,
                     sky_document(call.backend.sky(), call.backend.data_now()));
}

net::HttpResponse get_stream(Call& call) {
  std::optional<std::vector<User>> accounts;
  if (!call.is_guest()) {
    auto users = call.backend.store().users().list();
    if (!users) {
      return problem_of(users.error());
    }
    std::erase_if(*users,
                  [](const User& user) { return user.role.has_value(); });
    accounts = std::move(*users);
  }
  return json_answer(
      200, stream_document(call.backend.stream(), call.is_guest(), accounts));
}

net::HttpResponse get_record(Call& call) {
  const auto span = span_of(call);
  if (!span) {
    return problem_answer(span.error());
  }
  const auto view = call.backend.record(span->from, span->to);
  if (!view) {
    return problem_of(view.error());
  }
  Json hours = hours_json(*view, call.is_guest());
  if (call.wants_csv()) {
    return csv_answer(hours, "record.csv");
  }
  Store& store = call.backend.store();
  return json_answer(200,
                     {{"schema_version", kApiSchemaVersion},
                      {"from", time_text(span->from)},
                      {"to", time_text(span->to)},
                      {"hours", std::move(hours)},
                      {"gaps", gaps_json(store, *span)},
                      {"disk",
                       {{"free_bytes", or_null(view->free_bytes)},
                        {"leave_free_bytes", view->leave_free_bytes},
                        {"used_bytes", view->used_bytes},
                        {"days_left", number_or_null(view->days_left, 0.1)}}},
                      {"minutes", minutes_json(store, *span)}});
}

// YYYY/DDD/HH….seg or .seg.zst, and nothing else below the folder.
net::HttpResponse get_raw(Call& call) {
  const std::string& path = call.parts.front();
  const bool good = path.size() > 9 && path[4] == '/' && path[8] == '/' &&
                    path.find("..") == std::string::npos &&
                    std::count(path.begin(), path.end(), '/') == 2 &&
                    (path.ends_with(".seg") || path.ends_with(".seg.zst"));
  const auto missing = [] {
    return problem_answer(
        {404, "not_found", "There is no such hour.", "", "", {}});
  };
  if (!good) {
    return missing();
  }
  auto file = net::HttpFile::open(call.backend.raw_folder() + "/" + path);
  if (!file) {
    return missing();
  }
  net::HttpResponse answer;
  answer.content_type = "application/octet-stream";
  std::string name = path;
  std::replace(name.begin(), name.end(), '/', '-');
  answer.extra.push_back(
      {"Content-Disposition", "attachment; filename=\"" + name + "\""});
  answer.file = std::move(*file);
  return answer;
}

net::HttpResponse get_logbook(Call& call) {
  LogQuery query;
  if (const auto text = query_value(call.request, "limit")) {
    const auto all_digits =
        !text->empty() && text->size() < 6 &&
        text->find_first_not_of("0123456789") == std::string::npos;
    if (!all_digits || *text == "0") {
      return problem_answer(malformed("limit", "'limit' is a whole number."));
    }
    query.limit = std::min<std::size_t>(std::stoul(*text), 1000);
  }
  if (const auto text = query_value(call.request, "kind");
      text && !text->empty()) {
    for (const LogKindRow& row : log_kinds()) {
      const std::string wanted = "," + *text + ",";
      if (wanted.find(fmt::format(",{},", row.name)) != std::string::npos) {
        query.kinds.push_back(row.kind);
      }
    }
    if (query.kinds.empty()) {
      return problem_answer(malformed("kind", "There is no such kind."));
    }
  }
  Store& store = call.backend.store();
  if (const auto text = query_value(call.request, "before")) {
    // "ns-id" of the last entry of the page before.
    const auto dash = text->find('-', 1);
    std::int64_t ns = 0, id = 0;
    const char* end = text->data() + text->size();
    const bool good =
        dash != std::string::npos &&
        std::from_chars(text->data(), text->data() + dash, ns).ptr ==
            text->data() + dash &&
        std::from_chars(text->data() + dash + 1, end, id).ptr == end;
    if (!good) {
      return problem_answer(
          malformed("before", "'before' is the 'next' of another page."));
    }
    query.before = std::pair(GnssTime::from_ns(ns), id);
  }
  const auto entries = store.logbook().read(query);
  if (!entries) {
    return problem_of(entries.error());
  }
  const bool guest = call.is_guest();
  Json all = Json::array();
  for (const StoredEntry& stored : *entries) {
    const LogEntry& entry = stored.entry;
    all.push_back(
        {{"id", stored.id},
         {"at", time_text(entry.at)},
         {"kind", log_kind_name(entry.kind)},
         {"text",
          guest && names_people(entry.kind) ? std::string() : entry.text},
         {"details", details_json(entry, guest)}});
  }
  if (call.wants_csv()) {
    return csv_answer(all, "logbook.csv");
  }
  Json kinds = Json::array();
  for (const LogKindRow& row : log_kinds()) {
    kinds.push_back(row.name);
  }
  Json next = nullptr;
  if (entries->size() == query.limit) {
    next =
        fmt::format("{}-{}", entries->back().entry.at.ns(), entries->back().id);
  }
  return json_answer(200,
                     {{"schema_version", kApiSchemaVersion},
                      {"entries", std::move(all)},
                      {"next", std::move(next)},
                      {"kinds", std::move(kinds)}});
}

}  // namespace stillpoint::api
