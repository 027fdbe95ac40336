#include <fmt/format.h>
#include <fmt/ranges.h>

#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/byte_text.h"
#include "stillpoint/app/check_receiver_report.h"
#include "stillpoint/report/json_number.h"
#include "stillpoint/report/locate_json.h"

namespace stillpoint::app {
namespace {

using Json = nlohmann::ordered_json;
using profile::Step;
using profile::StepOutcome;
using profile::StepReport;

Json or_null(std::string text) {
  return text.empty() ? Json(nullptr) : Json(std::move(text));
}

Json reply_json(const profile::ReplyPattern& pattern) {
  return {{"text", or_null(pattern.line_begin)},
          {"hex", or_null(pattern.bytes.empty() ? "" : pattern_text(pattern))}};
}

// What came of a step; null everywhere where nothing was sent.
void add_outcome(Json& step, const StepReport* report) {
  const bool sent = report != nullptr;
  const bool was_sent = sent && report->first_sent_s && report->ended_s;
  step["outcome"] =
      sent ? Json(profile::outcome_word(report->outcome)) : Json(nullptr);
  step["times_sent"] = sent ? Json(report->tries) : Json(nullptr);
  step["took_s"] =
      was_sent ? report::number(*report->ended_s - *report->first_sent_s, 1e3)
               : Json(nullptr);
  step["answer_hex"] = sent ? or_null(hex_of(report->answer)) : Json(nullptr);
  step["answer_text"] = sent && is_all_text(report->answer)
                            ? or_null(escaped(report->answer))
                            : Json(nullptr);
  step["other_hex"] = sent ? or_null(hex_of(report->other)) : Json(nullptr);
  step["error"] = sent && report->error
                      ? report::error_json(*report->error).at("error")
                      : Json(nullptr);
}

Json step_json(const CheckReceiverArgs& args,
               const Step& step,
               const StepReport* report) {
  const auto bytes = planned_bytes(args, step);
  const bool asks = !step.reply.empty();
  Json json = {
      {"name", step.name},
      {"optional", step.optional},
      {"waits_for", profile::missing_values(step, args.values)},
      {"text", bytes && step.is_text ? Json(escaped(*bytes)) : Json(nullptr)},
      {"hex", bytes ? Json(hex_of(*bytes)) : Json(nullptr)},
      {"reply", asks ? reply_json(step.reply) : Json(nullptr)},
      {"refusal",
       step.refusal.empty() ? Json(nullptr) : reply_json(step.refusal)},
      {"tries", step.tries},
      {"reply_within_s",
       asks ? report::number(step.reply_within_s, 1e3) : Json(nullptr)},
      {"pause_s", report::number(step.pause_s, 1e3)}};
  add_outcome(json, report);
  return json;
}

const char* end_word(const std::optional<Exchange>& exchange) {
  if (!exchange) {
    return "not_sent";
  }
  switch (exchange->end) {
    case ExchangeEnd::kDone:
      return "done";
    case ExchangeEnd::kFailed:
      return "failed";
    case ExchangeEnd::kLost:
      return "lost";
    case ExchangeEnd::kInterrupted:
      return "interrupted";
  }
  return "failed";
}

Json warnings_json(const CheckReceiverArgs& args,
                   const std::optional<Exchange>& exchange) {
  Json warnings = Json::array();
  for (std::size_t i = 0; i < args.profile.steps.size(); ++i) {
    const Step& step = args.profile.steps[i];
    const auto missing = profile::missing_values(step, args.values);
    const StepOutcome outcome =
        exchange ? exchange->reports[i].outcome : StepOutcome::kNotReached;
    if (!missing.empty()) {
      warnings.push_back({{"code", "waits_for_position"},
                          {"step", step.name},
                          {"what",
                           fmt::format("it waits for an adopted position: {}",
                                       fmt::join(missing, ", "))}});
    } else if (step.optional && (outcome == StepOutcome::kRefused ||
                                 outcome == StepOutcome::kNoAnswer ||
                                 outcome == StepOutcome::kNotSent)) {
      warnings.push_back({{"code", "optional_step_failed"},
                          {"step", step.name},
                          {"what", "the start-up goes on without it"}});
    }
  }
  return warnings;
}

}  // namespace

std::string check_receiver_json(const CheckReceiverArgs& args,
                                const std::optional<Exchange>& exchange) {
  Json steps = Json::array();
  for (std::size_t i = 0; i < args.profile.steps.size(); ++i) {
    steps.push_back(step_json(args,
                              args.profile.steps[i],
                              exchange ? &exchange->reports[i] : nullptr));
  }
  Json framings = Json::array();
  for (const auto& framing : args.profile.framings) {
    framings.push_back(framing.name);
  }
  return report::to_text(
      {{"schema_version", report::kSchemaVersion},
       {"profile", args.name},
       {"shipped", args.is_shipped},
       {"name", or_null(args.profile.name)},
       {"description", or_null(args.profile.description)},
       {"framings", framings},
       {"port", args.port ? Json(args.port->text) : Json(nullptr)},
       {"status", end_word(exchange)},
       {"why",
        exchange && exchange->why ? Json(exchange->why->text())
                                  : Json(nullptr)},
       {"steps", steps},
       {"warnings", warnings_json(args, exchange)}});
}

}  // namespace stillpoint::app
