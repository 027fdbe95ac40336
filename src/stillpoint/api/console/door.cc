// Claim, sign in, sign out, own password.
#include "stillpoint/api/console/bundle.h"
#include "stillpoint/api/console/cookie.h"
#include "stillpoint/api/console/json_answer.h"
#include "stillpoint/api/console/json_body.h"
#include "stillpoint/api/console/routes.h"

namespace stillpoint::api {
namespace {

Json session_json(const std::optional<people::Session>& session) {
  if (!session) {
    return nullptr;
  }
  return {{"name", session->name},
          {"role", role_name(session->role)},
          {"token", session->csrf},
          {"ends", time_text(session->ends)}};
}

net::HttpResponse refused(const people::Refused& why) {
  using people::Refusal;
  switch (why.why) {
    case Refusal::kWrong:
      return problem_answer({401,
                             "wrong_login",
                             "That is not right.",
                             "Look at it once more and try again.",
                             "",
                             {}});
    case Refusal::kTooSoon:
      return problem_answer({429,
                             "too_soon",
                             "Too many attempts were wrong.",
                             "Wait, then try again.",
                             "",
                             why.wait_s});
    case Refusal::kAlreadyClaimed:
      return problem_answer({409,
                             "claimed",
                             "This station has an owner already.",
                             "Sign in, or ask the owner for an account.",
                             "",
                             {}});
    case Refusal::kNotOpen:
      return problem_answer(
          {409,
           "claim_closed",
           "No claim code holds at present: each is good once, for an hour.",
           "Make a new one on the station's computer: stillpoint claim",
           "",
           {}});
    case Refusal::kBadPassword:
      return problem_answer({422,
                             "refused",
                             why.what,
                             "Choose another password.",
                             "password",
                             {}});
    case Refusal::kBadName:
      return problem_answer(
          {422, "refused", why.what, "Choose another name.", "name", {}});
  }
  return problem_answer({});
}

using Outcome = Result<tl::expected<people::NewSession, people::Refused>>;

net::HttpResponse entered(const Call& call, const Outcome& outcome) {
  if (!outcome) {
    return problem_of(outcome.error());
  }
  if (!*outcome) {
    return refused(outcome->error());
  }
  const people::NewSession& session = **outcome;
  net::HttpResponse answer =
      json_answer(201,
                  {{"schema_version", kApiSchemaVersion},
                   {"session", session_json(session.session)}});
  answer.extra.push_back(
      {"Set-Cookie", session_cookie(session.secret, call.request.tls)});
  return answer;
}

}  // namespace

net::HttpResponse get_door(Call& call) {
  const auto claimed = call.backend.people().claimed();
  const auto open = call.backend.people().claim_open(call.backend.wall());
  if (!claimed || !open) {
    return problem_of(claimed ? open.error() : claimed.error());
  }
  const ConsoleFacts facts = call.backend.facts();
  return json_answer(200,
                     {{"schema_version", kApiSchemaVersion},
                      {"claimed", *claimed},
                      {"claim_open", *open},
                      {"station", facts.station},
                      {"place", text_or_null(facts.place)},
                      {"simulated", facts.simulated},
                      {"version", facts.version},
                      {"bundle", std::string(bundle_id())},
                      {"fingerprint", text_or_null(facts.fingerprint)},
                      {"session", session_json(call.session)}});
}

net::HttpResponse post_claim(Call& call) {
  JsonBody body(call.body);
  std::string code = body.text("code"), name = body.text("name"),
              password = body.text("password");
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  const auto outcome = call.backend.people().claim(code,
                                                   name,
                                                   password,
                                                   call.request.address,
                                                   call.backend.wall(),
                                                   call.backend.steady());
  people::wipe(password);
  people::wipe(code);
  return entered(call, outcome);
}

net::HttpResponse post_session(Call& call) {
  JsonBody body(call.body);
  const std::string name = body.text("name");
  std::string password = body.text("password");
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  const auto outcome = call.backend.people().login(name,
                                                   password,
                                                   call.request.address,
                                                   call.backend.wall(),
                                                   call.backend.steady());
  people::wipe(password);
  return entered(call, outcome);
}

net::HttpResponse delete_session(Call& call) {
  const Status done =
      call.backend.people().logout(call.secret, call.backend.wall());
  if (!done) {
    return problem_of(done.error());
  }
  net::HttpResponse answer;
  answer.status = 204;
  answer.extra.push_back({"Set-Cookie", ended_cookie(call.request.tls)});
  return answer;
}

net::HttpResponse put_password(Call& call) {
  JsonBody body(call.body);
  std::string before = body.text("old"), after = body.text("new");
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  const auto outcome =
      call.backend.people().change_password(call.secret,
                                            before,
                                            after,
                                            call.request.address,
                                            call.backend.wall(),
                                            call.backend.steady());
  people::wipe(before);
  people::wipe(after);
  if (!outcome) {
    return problem_of(outcome.error());
  }
  if (*outcome) {
    if ((*outcome)->why == people::Refusal::kWrong) {
      // The session is good; it is the old password that is not.
      return problem_answer({422,
                             "refused",
                             "The old password is not right.",
                             "Type it once more.",
                             "old",
                             {}});
    }
    return refused(**outcome);
  }
  call.backend.changed();
  net::HttpResponse answer;
  answer.status = 204;
  return answer;
}

}  // namespace stillpoint::api
