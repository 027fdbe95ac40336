#include <fmt/format.h>
#include <fmt/ranges.h>

#include <utility>

#include "stillpoint/app/byte_text.h"
#include "stillpoint/app/check_receiver_report.h"
#include "stillpoint/rtcm/safe_text.h"

namespace stillpoint::app {
namespace {

using profile::Step;
using profile::StepOutcome;
using profile::StepReport;

std::string bytes_text(std::string_view label, bool is_text, ByteSpan bytes) {
  return is_text ? fmt::format("{}{}\n", label, escaped(bytes))
                 : dump(label, bytes);
}

std::string after_text(const StepReport& report) {
  return report.first_sent_s && report.ended_s
             ? fmt::format(" after {:.2f} s, sent {} time{}",
                           *report.ended_s - *report.first_sent_s,
                           report.tries,
                           report.tries == 1 ? "" : "s")
             : std::string();
}

}  // namespace

std::optional<std::vector<std::uint8_t>> planned_bytes(
    const CheckReceiverArgs& args, const profile::Step& step) {
  if (!profile::missing_values(step, args.values).empty()) {
    return std::nullopt;
  }
  // parse_check_receiver() has seen that all values fit.
  auto bytes = profile::render(step, args.values);
  return bytes ? std::optional(std::move(*bytes)) : std::nullopt;
}

std::string heading_text(const CheckReceiverArgs& args) {
  const profile::Profile& profile = args.profile;
  std::string text = fmt::format("Profile    {}\n", rtcm::safe_text(args.name));
  for (const std::string& line : {profile.name, profile.description}) {
    if (!line.empty()) {
      text += "           " + rtcm::safe_text(line) + "\n";
    }
  }
  text += fmt::format("Port       {}\n",
                      args.port ? args.port->text : "none is given");
  if (profile.steps.empty()) {
    text += "Steps      none: nothing is sent to this receiver\n";
  }
  return text;
}

std::string step_text(const CheckReceiverArgs& args, std::size_t index) {
  const Step& step = args.profile.steps[index];
  std::string text = fmt::format("\nStep {:<4}  {}{}\n",
                                 index + 1,
                                 step.name,
                                 step.optional ? " (optional)" : "");
  const auto bytes = planned_bytes(args, step);
  if (!bytes) {
    return text +
           fmt::format(
               "  sends    waits for an adopted position: {}\n",
               fmt::join(profile::missing_values(step, args.values), ", "));
  }
  text += bytes_text("  sends    ", step.is_text, *bytes);
  if (!step.reply.empty()) {
    text += fmt::format("  expects  {} within {} s, {} time{}\n",
                        pattern_text(step.reply),
                        step.reply_within_s,
                        step.tries,
                        step.tries == 1 ? "" : "s");
  }
  if (!step.refusal.empty()) {
    text += fmt::format("  refused  {}\n", pattern_text(step.refusal));
  }
  if (step.pause_s > 0) {
    text += fmt::format("  pause    {} s\n", step.pause_s);
  }
  return text;
}

std::string outcome_text(const StepReport& report) {
  std::string text = "  got      ";
  switch (report.outcome) {
    case StepOutcome::kSent:
      text += "nothing was asked for; sent\n";
      break;
    case StepOutcome::kAnswered:
      text += "the reply" + after_text(report) + "\n";
      break;
    case StepOutcome::kRefused:
      text += "a refusal" + after_text(report) + "\n";
      break;
    case StepOutcome::kNoAnswer:
      text += "no reply" + after_text(report) + "\n";
      break;
    case StepOutcome::kNotSent:
      text += "not sent: " + (report.error ? report.error->text() : "") + "\n";
      break;
    case StepOutcome::kSkipped:
      return {};  // said by step_text()
    case StepOutcome::kNotReached:
    case StepOutcome::kUnderWay:
      text += "nothing yet\n";
      break;
  }
  if (!report.answer.empty()) {
    text +=
        bytes_text("           ", is_all_text(report.answer), report.answer);
  }
  if (report.outcome == StepOutcome::kNoAnswer) {
    text += report.other.empty() ? "           nothing else came that is not "
                                   "RTCM or a common sentence\n"
                                 : dump("  instead  ", report.other);
  }
  return text;
}

std::string end_text(const CheckReceiverArgs& args, const Exchange& exchange) {
  switch (exchange.end) {
    case ExchangeEnd::kDone:
      return "\nResult     the receiver is set up\n";
    case ExchangeEnd::kFailed:
      return "\nResult     the receiver is not set up: a step failed, those "
             "behind it were not sent\n";
    case ExchangeEnd::kLost:
      return fmt::format("\nResult     {} was lost: {}\n",
                         args.port->text,
                         exchange.why ? exchange.why->text() : "it ended");
    case ExchangeEnd::kInterrupted:
      return "\nResult     interrupted\n";
  }
  return {};
}

}  // namespace stillpoint::app
