#include "stillpoint/app/simulate_document.h"

#include <fmt/format.h>

#include <iterator>
#include <nlohmann/json.hpp>

#include "stillpoint/report/locate_json.h"
#include "stillpoint/simulate/sky/precise_products.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using nlohmann::json;

constexpr double kDegree = 0.017453292519943295;

json files_of(const std::vector<SimulatedFile>& files) {
  json list = json::array();
  for (const SimulatedFile& f : files) {
    list.push_back({{"kind", f.kind},
                    {"path", f.file.path},
                    {"bytes", f.file.bytes},
                    {"sha256", f.file.sha256}});
  }
  return list;
}

json receiver_of(const simulate::ReceiverScenario& r,
                 const SimulatedSession& session) {
  const Ecef marker = to_ecef(r.marker);
  return {{"name", r.name},
          {"marker",
           {{"ecef_m", {marker.x_m, marker.y_m, marker.z_m}},
            {"geodetic_deg_m",
             {r.marker.lat_rad / kDegree,
              r.marker.lon_rad / kDegree,
              r.marker.height_m}},
            {"frame", simulate::kWorldFrame}}},
          {"antenna",
           {{"type", r.antenna},
            {"delta_enu_m",
             {r.antenna_east_m, r.antenna_north_m, r.antenna_height_m}}}},
          {"moves", !r.waypoints.empty() || !r.moves.empty()},
          {"interval_s", r.interval_s},
          {"epochs", session.epochs},
          {"epochs_missed", session.missed},
          {"observations", session.observations},
          {"files", files_of(session.files)}};
}

json effects_of(const simulate::Scenario& scenario) {
  json list = json::array();
  for (const simulate::EffectName& row : simulate::effect_names()) {
    if (scenario.effects.has(row.effect)) {
      list.push_back(row.name);
    }
  }
  return list;
}

void list_files(const std::vector<SimulatedFile>& files, std::string& text) {
  for (const SimulatedFile& f : files) {
    fmt::format_to(std::back_inserter(text),
                   "  {:<13} {}  ({} bytes)\n",
                   f.kind,
                   f.file.path,
                   f.file.bytes);
  }
}

}  // namespace

std::string simulate_document(const simulate::Scenario& scenario,
                              const SimulateAnswer& answer) {
  json receivers = json::array();
  for (const SimulatedSession& session : answer.receivers) {
    receivers.push_back(
        receiver_of(scenario.receivers[session.receiver], session));
  }
  json left_out = json::array();
  for (const auto& [what, count] : answer.left_out) {
    left_out.push_back({{"what", what}, {"count", count}});
  }
  return report::to_text({{"schema_version", report::kSchemaVersion},
                          {"simulated", true},
                          {"scenario", scenario.name},
                          {"seed", scenario.seed},
                          {"start", format_utc(answer.from)},
                          {"end", format_utc(answer.to)},
                          {"effects", effects_of(scenario)},
                          {"receivers", receivers},
                          {"files", files_of(answer.files)},
                          {"left_out", left_out}});
}

std::string simulate_summary(const simulate::Scenario& scenario,
                             const SimulateAnswer& answer) {
  std::string text = fmt::format("simulated: {} (seed {}), {} to {} GPST\n",
                                 scenario.name,
                                 scenario.seed,
                                 format_gpst(answer.from),
                                 format_gpst(answer.to));
  list_files(answer.files, text);
  for (const SimulatedSession& session : answer.receivers) {
    const simulate::ReceiverScenario& r = scenario.receivers[session.receiver];
    const Ecef marker = to_ecef(r.marker);
    fmt::format_to(std::back_inserter(text),
                   "{}: {} epochs, {} observations; marker truly at {:.4f} "
                   "{:.4f} {:.4f} m ({})\n",
                   r.name,
                   session.epochs,
                   session.observations,
                   marker.x_m,
                   marker.y_m,
                   marker.z_m,
                   simulate::kWorldFrame);
    list_files(session.files, text);
  }
  for (const auto& [what, count] : answer.left_out) {
    fmt::format_to(
        std::back_inserter(text), "left out: {} ({} values)\n", what, count);
  }
  return text;
}

}  // namespace stillpoint::app
