// `stillpoint check-receiver`: what a profile sends, and what comes back.
#include <optional>
#include <utility>

#include "stillpoint/app/check_receiver_args.h"
#include "stillpoint/app/check_receiver_report.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/receiver_exchange.h"
#include "stillpoint/app/verbs.h"

namespace stillpoint::app {
namespace {

int show(const CheckReceiverArgs& args, bool json) {
  std::string text;
  if (json) {
    text = check_receiver_json(args, std::nullopt);
  } else {
    text = heading_text(args);
    for (std::size_t i = 0; i < args.profile.steps.size(); ++i) {
      text += step_text(args, i);
    }
  }
  return print_data(text) ? kExitGood : kExitSystem;
}

// Text comes step by step, a document at the end; neither where the port could
// not be opened.
int send(const CheckReceiverArgs& args, bool json) {
  bool printed = true;
  std::string head = json ? "" : heading_text(args);
  auto exchange = run_exchange(
      args, [&](std::size_t step, const profile::StepReport& report) {
        if (!json && printed) {
          printed = print_data(std::exchange(head, {}) + step_text(args, step) +
                               outcome_text(report));
        }
      });
  if (!exchange) {
    return report_error(exchange.error(), json);
  }
  if (!printed || !print_data(json ? check_receiver_json(args, *exchange)
                                   : head + end_text(args, *exchange))) {
    return kExitSystem;
  }
  return exchange->end == ExchangeEnd::kDone ? kExitGood : kExitNo;
}

}  // namespace

int run_check_receiver(const Arguments& arguments) {
  const auto args = parse_check_receiver(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpCheckReceiver) ? kExitGood : kExitSystem;
  }
  return args->send ? send(*args, arguments.json) : show(*args, arguments.json);
}

}  // namespace stillpoint::app
