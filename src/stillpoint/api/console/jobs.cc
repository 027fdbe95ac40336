// Solves and exports.
#include "stillpoint/api/console/documents.h"
#include "stillpoint/api/console/json_body.h"
#include "stillpoint/api/console/routes.h"
#include "stillpoint/net/http_file.h"

namespace stillpoint::api {
namespace {

net::HttpResponse no_job() {
  return problem_answer(
      {404, "not_found", "There is no such job.", "", "", {}});
}

net::HttpResponse job_answer(int status, const JobView& job) {
  return json_answer(
      status, {{"schema_version", kApiSchemaVersion}, {"job", job_json(job)}});
}

net::HttpResponse file_answer(const std::optional<std::string>& path,
                              const char* type) {
  if (!path) {
    return no_job();
  }
  auto file = net::HttpFile::open(*path);
  if (!file) {
    return no_job();
  }
  net::HttpResponse answer;
  answer.content_type = type;
  answer.file = std::move(*file);
  return answer;
}

bool one_of(const std::string& text,
            std::initializer_list<const char*> allowed) {
  for (const char* one : allowed) {
    if (text == one) {
      return true;
    }
  }
  return false;
}

std::optional<Problem> check_wish(const JobWish& wish) {
  const auto refused = [](const char* field, const char* detail) {
    return Problem{422, "refused", detail, "", field, {}};
  };
  if (!(wish.start < wish.end)) {
    return refused("end", "The end must lie behind the start.");
  }
  constexpr double kMostDays = 31;
  if ((wish.end - wish.start).s > kMostDays * 86'400) {
    return refused("end", "At most 31 days at a time.");
  }
  if (!one_of(wish.method, {"auto", "code", "ppp"})) {
    return refused("method", "One of auto, code, ppp.");
  }
  if (!one_of(wish.format, {"2.11", "3.05", "4.02"})) {
    return refused("format", "One of 2.11, 3.05, 4.02.");
  }
  if (!(wish.interval_s >= 0.05 && wish.interval_s <= 3600)) {
    return refused("interval_s", "From 0.05 to 3600 seconds.");
  }
  return std::nullopt;
}

}  // namespace

net::HttpResponse get_jobs(Call& call) {
  Json jobs = Json::array();
  for (const JobView& job : call.backend.jobs()) {
    jobs.push_back(job_json(job));
  }
  return json_answer(200,
                     {{"schema_version", kApiSchemaVersion},
                      {"jobs", std::move(jobs)},
                      {"note", text_or_null(call.backend.jobs_note())}});
}

net::HttpResponse get_job(Call& call) {
  const auto job = call.backend.job(call.parts.front());
  return job ? job_answer(200, *job) : no_job();
}

net::HttpResponse post_job(Call& call) {
  JsonBody body(call.body);
  JobWish wish;
  const std::string kind = body.text("kind");
  wish.is_export = kind == "export";
  wish.start = body.time("start");
  wish.end = body.time("end");
  if (wish.is_export) {
    wish.format = body.maybe_text("format").value_or(wish.format);
    wish.interval_s = body.maybe_number("interval_s").value_or(wish.interval_s);
    wish.hatanaka = body.maybe_flag("hatanaka").value_or(false);
    wish.gzip = body.maybe_flag("gzip").value_or(false);
  } else {
    wish.method = body.maybe_text("method").value_or(wish.method);
  }
  auto problem = body.finish();
  if (!problem && !wish.is_export && kind != "solve") {
    problem = Problem{
        422, "refused", "A job is a 'solve' or an 'export'.", "", "kind", {}};
  }
  if (!problem) {
    problem = check_wish(wish);
  }
  if (problem) {
    return problem_answer(*problem);
  }
  const auto id = call.backend.ask(wish, call.name());
  if (!id && id.error().code == ErrorCode::kTooLarge) {
    return problem_answer({409,
                           "conflict",
                           id.error().what,
                           "Wait until some of them have ended.",
                           "",
                           {}});
  }
  if (!id) {
    return problem_answer({422,
                           "refused",
                           id.error().what,
                           id.error().remedy,
                           id.error().where,
                           {}});
  }
  const auto job = call.backend.job(*id);
  return job ? job_answer(202, *job) : no_job();
}

net::HttpResponse delete_job(Call& call) {
  const Status done = call.backend.cancel(call.parts.front(), call.name());
  if (!done && done.error().code == ErrorCode::kUsage) {
    return problem_answer(
        {409, "conflict", done.error().what, "Nothing is left to do.", "", {}});
  }
  if (!done) {
    return problem_of(done.error());
  }
  const auto job = call.backend.job(call.parts.front());
  return job ? job_answer(200, *job) : no_job();
}

// A page of its own: no script, and nothing of the console within its reach.
net::HttpResponse get_job_report(Call& call) {
  net::HttpResponse answer = file_answer(
      call.backend.job_report(call.parts.front()), "text/html; charset=utf-8");
  if (answer.status == 200) {
    answer.extra.push_back(
        {"Content-Security-Policy",
         "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src "
         "data:; frame-ancestors 'none'"});
  }
  return answer;
}

net::HttpResponse get_job_log(Call& call) {
  return file_answer(call.backend.job_log(call.parts.front()),
                     "text/plain; charset=utf-8");
}

net::HttpResponse get_job_file(Call& call) {
  const std::string& name = call.parts.at(1);
  net::HttpResponse answer =
      file_answer(call.backend.job_file(call.parts.front(), name),
                  "application/octet-stream");
  if (answer.status == 200) {
    // Names of files are ours: letters, digits, '.', '_' and '-'.
    answer.extra.push_back(
        {"Content-Disposition", "attachment; filename=\"" + name + "\""});
  }
  return answer;
}

}  // namespace stillpoint::api
