#include "stillpoint/app/verbs.h"

#include <array>

namespace stillpoint::app {
namespace {

constexpr std::array kVerbs{
    Verb{"locate", "the antenna's coordinate from observations", run_locate},
    Verb{"listen", "what a receiver or stream sends", run_listen},
    Verb{"run", "the station: receive, record, serve, watch", run_run},
    Verb{"demo", "the whole job on a simulated station", run_demo},
    Verb{"tie", "coordinate from a station that is known", run_tie},
    Verb{"prove", "acts as a rover on a base's corrections", nullptr},
    Verb{"transform", "a coordinate in another frame and epoch", nullptr},
    Verb{"inspect", "signal quality and horizon", nullptr},
    Verb{"plan", "a site before anything is bolted down", nullptr},
    Verb{"export", "recorded hours to RINEX", run_export},
    Verb{"simulate", "observations with a known truth", run_simulate},
    Verb{"replay", "recorded bytes as a receiver would send them", run_replay},
    Verb{"report", "the station's dossier", nullptr},
    Verb{"backup", "the whole station in one file", nullptr},
    Verb{"restore", "the station from that file", nullptr},
    Verb{"candidates", "position records compared", run_candidates},
    Verb{"adopt", "the position the broadcast uses", run_adopt},
    Verb{"position", "the adopted position in any frame", run_position},
    Verb{"check-config", "every mistake in the settings", run_check_config},
    Verb{"claim", "a code for the console's first owner", run_claim},
    Verb{"rovers", "the accounts of rovers", run_rovers},
    Verb{"check-receiver", "what a receiver is sent", run_check_receiver},
};

}  // namespace

std::span<const Verb> verbs() {
  return kVerbs;
}

const Verb* find_verb(std::string_view name) {
  for (const Verb& verb : kVerbs) {
    if (verb.name == name) {
      return &verb;
    }
  }
  return nullptr;
}

}  // namespace stillpoint::app
