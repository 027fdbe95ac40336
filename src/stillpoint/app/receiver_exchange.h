// A start-up played over a port: what came of each step.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "stillpoint/app/check_receiver_args.h"
#include "stillpoint/core/result.h"
#include "stillpoint/profile/start_up.h"

namespace stillpoint::app {

enum class ExchangeEnd : std::uint8_t {
  kDone,
  kFailed,       // a step that must succeed did not
  kLost,         // the port was closed from the other side
  kInterrupted,  // by Ctrl-C
};

struct Exchange {
  ExchangeEnd end = ExchangeEnd::kDone;
  std::vector<profile::StepReport> reports;
  std::optional<Error> why;  // kLost
};

// Sends the steps over args.port.
//
//   on_step  told of each step once it has ended or was skipped
//   errors   what kept the port from being opened
Result<Exchange> run_exchange(
    const CheckReceiverArgs& args,
    const std::function<void(std::size_t step, const profile::StepReport&)>&
        on_step);

}  // namespace stillpoint::app
