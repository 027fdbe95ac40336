#include "stillpoint/station/job_document.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kSchemaVersion = 1;

std::string to_text(const Json& document) {
  return document.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

// Null where it is no object: nothing is then found in it.
Json parsed(std::string_view text) {
  Json document = Json::parse(text, nullptr, /*allow_exceptions=*/false);
  return document.is_object() ? document : Json();
}

// Of what may be anything: files can be damaged, and nothing here may throw.
const Json* at(const Json& object, const char* key) {
  const auto found = object.is_object() ? object.find(key) : object.end();
  return !object.is_object() || found == object.end() ? nullptr : &*found;
}
std::optional<std::string> text_at(const Json& object, const char* key) {
  const Json* value = at(object, key);
  return value != nullptr && value->is_string()
             ? std::optional(value->get<std::string>())
             : std::nullopt;
}
bool flag_at(const Json& object, const char* key) {
  const Json* value = at(object, key);
  return value != nullptr && value->is_boolean() && value->get<bool>();
}
std::uint64_t count_at(const Json& object, const char* key) {
  const Json* value = at(object, key);
  return value != nullptr && value->is_number_unsigned()
             ? value->get<std::uint64_t>()
             : 0;
}
std::optional<GnssTime> time_at(const Json& object, const char* key) {
  const auto text = text_at(object, key);
  const auto time = text ? parse_time(*text) : fail(ErrorCode::kUsage, "");
  return time ? std::optional(*time) : std::nullopt;
}
const Json& list_at(const Json& object, const char* key) {
  static const Json none = Json::array();
  const Json* value = at(object, key);
  return value != nullptr && value->is_array() ? *value : none;
}

Json time_json(const std::optional<GnssTime>& t) {
  return t ? Json(format_utc(*t)) : Json(nullptr);
}

tl::unexpected<Error> bad(const char* what) {
  return fail(ErrorCode::kBadFormat, what);
}

void parse_state(const Json& state, JobView& job) {
  job.state = job_state(text_at(state, "state").value_or(""))
                  .value_or(JobState::kWaiting);
  job.started = time_at(state, "started");
  job.ended = time_at(state, "ended");
  job.what = text_at(state, "what").value_or("");
  job.why = text_at(state, "why").value_or("");
  const Json* record = at(state, "record");
  if (record != nullptr && record->is_number_integer()) {
    job.record = record->get<std::int64_t>();
  }
  job.report = flag_at(state, "report");
  job.products = text_at(state, "products").value_or("");
  for (const Json& file : list_at(state, "files")) {
    if (auto name = text_at(file, "name")) {
      job.files.push_back({std::move(*name), count_at(file, "bytes")});
    }
  }
}

}  // namespace

std::string request_text(const JobView& job) {
  const JobRequest& r = job.request;
  return to_text(
      {{"schema_version", kSchemaVersion},
       {"id", job.id},
       {"kind", job_word(r.kind)},
       {"by", r.by},
       {"asked", format_utc(job.asked)},
       {"start", format_utc(r.start)},
       {"end", format_utc(r.end)},
       {"method", job_word(r.method)},
       {"format", r.format},
       {"interval_s", r.interval_s ? Json(*r.interval_s) : Json(nullptr)},
       {"hatanaka", r.hatanaka},
       {"gzip", r.gzip}});
}

std::string state_text(const JobView& job) {
  Json files = Json::array();
  for (const JobFile& file : job.files) {
    files.push_back({{"name", file.name}, {"bytes", file.bytes}});
  }
  return to_text({{"schema_version", kSchemaVersion},
                  {"state", job_word(job.state)},
                  {"started", time_json(job.started)},
                  {"ended", time_json(job.ended)},
                  {"what", job.what},
                  {"why", job.why},
                  {"record", job.record ? Json(*job.record) : Json(nullptr)},
                  {"report", job.report},
                  {"products", job.products},
                  {"files", std::move(files)}});
}

Result<JobView> parse_job(std::string_view request, std::string_view state) {
  const Json asked = parsed(request);
  JobView job;
  const auto id = text_at(asked, "id");
  const auto kind = job_kind(text_at(asked, "kind").value_or(""));
  const auto method = job_method(text_at(asked, "method").value_or(""));
  const auto start = time_at(asked, "start"), end = time_at(asked, "end"),
             when = time_at(asked, "asked");
  if (!id || !kind || !method || !start || !end || !when) {
    return bad("is no job");
  }
  job.id = *id;
  job.asked = *when;
  JobRequest& r = job.request;
  r.kind = *kind;
  r.by = text_at(asked, "by").value_or("");
  r.start = *start;
  r.end = *end;
  r.method = *method;
  r.format = text_at(asked, "format").value_or(r.format);
  const Json* interval = at(asked, "interval_s");
  if (interval != nullptr && interval->is_number()) {
    r.interval_s = interval->get<double>();
  }
  r.hatanaka = flag_at(asked, "hatanaka");
  r.gzip = flag_at(asked, "gzip");
  if (const auto fits = check_request(r); !fits) {
    return bad("is no job that can be done");
  }
  if (!state.empty()) {
    parse_state(parsed(state), job);
  }
  return job;
}

std::string memory_text(const JobMemory& memory) {
  Json days = Json::array();
  for (const auto& [day, done] : memory.days) {
    days.push_back({{"day", format_gpst(day).substr(0, 10)},
                    {"products", done.lines},
                    {"tried", time_json(done.tried)},
                    {"fetched", time_json(done.fetched)},
                    {"tries", done.tries}});
  }
  return to_text({{"schema_version", kSchemaVersion},
                  {"growth_end", time_json(memory.growth_end)},
                  {"days", std::move(days)}});
}

Result<JobMemory> parse_memory(std::string_view text) {
  const Json document = parsed(text);
  if (!document.is_object()) {
    return bad("is no JSON object");
  }
  JobMemory memory;
  memory.growth_end = time_at(document, "growth_end");
  for (const Json& row : list_at(document, "days")) {
    const auto day = time_at(row, "day");
    if (!day) {
      continue;
    }
    remember_day(memory, *day, "");
    for (const Json& line : list_at(row, "products")) {
      if (line.is_string()) {
        remember_day(memory, *day, line.get<std::string>());
      }
    }
    DayDone& done = memory.days[*day];
    done.tried = time_at(row, "tried");
    done.fetched = time_at(row, "fetched");
    done.tries = static_cast<std::uint32_t>(
        std::min<std::uint64_t>(count_at(row, "tries"), UINT32_MAX));
  }
  return memory;
}

Result<ExportedFiles> parse_exported(std::string_view text) {
  const Json document = parsed(text);
  ExportedFiles files;
  std::vector<std::pair<std::string, std::string>> observations, navigation;
  for (const Json& file : list_at(document, "files")) {
    const auto path = text_at(file, "path"), kind = text_at(file, "kind");
    if (!path || !kind) {
      return bad("is no answer of export");
    }
    auto& list = *kind == "observations" ? observations : navigation;
    list.emplace_back(text_at(file, "start").value_or(""), *path);
    files.epochs += count_at(file, "epochs");
  }
  if (observations.empty()) {
    return bad("is no answer of export with observations");
  }
  std::sort(observations.begin(), observations.end());
  std::sort(navigation.begin(), navigation.end());
  files.observations.reserve(observations.size());
  files.navigation.reserve(navigation.size());
  for (auto& [start, path] : observations) {
    files.observations.push_back(std::move(path));
  }
  for (auto& [start, path] : navigation) {
    files.navigation.push_back(std::move(path));
  }
  return files;
}

Result<SolveDocument> parse_solved(std::string_view text) {
  const Json document = parsed(text);
  const auto status = text_at(document, "status");
  if (!status) {
    return bad("is no document of locate");
  }
  SolveDocument solved;
  solved.status = *status;
  solved.why = text_at(document, "why").value_or("");
  solved.method = text_at(document, "method").value_or("");
  const Json* position = at(document, "position");
  solved.has_position = position != nullptr && position->is_object();
  bool precise = false;
  for (const Json& input : list_at(document, "inputs")) {
    const auto file = shelf_file(text_at(input, "path").value_or(""));
    if (file && file->kind == ShelfKind::kOrbits) {
      precise = true;
      solved.products = file->line;
    }
  }
  if (!precise && solved.method == "code") {
    solved.products = "broadcast";
  }
  return solved;
}

std::string error_line(std::string_view text) {
  const Json document = parsed(text);
  const Json* error = at(document, "error");
  if (error == nullptr) {
    return {};
  }
  std::string line = text_at(*error, "what").value_or("");
  const std::string where = text_at(*error, "where").value_or("");
  const std::string remedy = text_at(*error, "remedy").value_or("");
  if (!where.empty()) {
    line.insert(0, where + ": ");
  }
  if (!remedy.empty()) {
    line += "; " + remedy;
  }
  return line;
}

std::string error_code(std::string_view text) {
  const Json document = parsed(text);
  const Json* error = at(document, "error");
  return error == nullptr ? std::string()
                          : text_at(*error, "code").value_or("");
}

}  // namespace stillpoint::station
