// Lets every rover in and keeps no books: what the fan-out costs by itself.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>

#include "stillpoint/ntrip/server/ledger.h"

namespace stillpoint::ntrip {

class OpenLedger final : public Ledger {
 public:
  void ask(const LedgerQuestion& /*question*/, Answer answer) override {
    answer({Admission::kAllowed, 0, std::chrono::nanoseconds{0}});
  }
  void on_connect(const SessionFacts& /*facts*/) override {}
  std::optional<std::uint64_t> on_progress(
      SessionId /*session*/, const SessionAccount& /*account*/) override {
    return std::nullopt;
  }
  void on_disconnect(SessionId /*session*/,
                     Departure /*why*/,
                     const SessionAccount& /*account*/) override {}
};

}  // namespace stillpoint::ntrip
