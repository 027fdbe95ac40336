// A new station.toml against the one that runs. A reload is all or nothing: a
// file with any mistake changes nothing.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/config/station_config.h"
#include "stillpoint/core/result.h"

namespace stillpoint::config {

enum class Effect : std::uint8_t { kAtOnce, kAfterRestart };

// "takes effect at once", "takes effect after a restart"
std::string_view effect_text(Effect effect);

struct Change {
  std::string setting;        // "archive.commit_s", "mountpoint.LHOL.open"
  std::string before, after;  // as TOML; "(none)" where there is no value
  Effect effect = Effect::kAfterRestart;
  // "archive.commit_s: 5 -> 10, takes effect at once"
  [[nodiscard]] std::string text() const;
  friend bool operator==(const Change&, const Change&) = default;
};

// In the order of the sections. Mountpoints are the same by their name; their
// order means nothing. One that came or went is one change,
// "mountpoint.LHOL", with "(none)" on one side.
std::vector<Change> compare(const StationConfig& before,
                            const StationConfig& after);

struct Reload {
  // What runs from now on: the running one, with every setting that takes
  // effect at once as in the file. What waits for a restart is told again by
  // the next reload.
  StationConfig config;
  std::vector<Change> changes;
};

//   errors   as parse_station_config(); then `running` goes on as it is
Result<Reload> reload_station_config(const StationConfig& running,
                                     std::string_view toml,
                                     std::string_view name,
                                     const SourceCheck& check_source);

}  // namespace stillpoint::config
