// What `check-receiver` says: text for people, and the document of
// docs/schemas/check-receiver.schema.json.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/app/check_receiver_args.h"
#include "stillpoint/app/receiver_exchange.h"

namespace stillpoint::app {

// What a step sends; nothing while it waits for a value.
std::optional<std::vector<std::uint8_t>> planned_bytes(
    const CheckReceiverArgs& args, const profile::Step& step);

// The profile and the port; what a step sends and waits for; what came of it;
// the end.
std::string heading_text(const CheckReceiverArgs& args);
std::string step_text(const CheckReceiverArgs& args, std::size_t index);
std::string outcome_text(const profile::StepReport& report);
std::string end_text(const CheckReceiverArgs& args, const Exchange& exchange);

// exchange: nothing where nothing was sent.
std::string check_receiver_json(const CheckReceiverArgs& args,
                                const std::optional<Exchange>& exchange);

}  // namespace stillpoint::app
