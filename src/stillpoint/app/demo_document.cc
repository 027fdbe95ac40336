#include "stillpoint/app/demo_document.h"

#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/demo_event_text.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using Json = nlohmann::ordered_json;

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json enu(const Enu& v) {
  return {v.e_m, v.n_m, v.u_m};
}

Json rovers_of(const DemoReport& report) {
  Json list = Json::array();
  for (const RoverFacts& r : report.rovers) {
    list.push_back(
        {{"name", r.name},
         {"bytes", r.bytes},
         {"frames", r.frames},
         {"bad_frames", r.bad_frames},
         {"epochs", r.epochs},
         {"gaps", r.gaps},
         {"epochs_missed", r.epochs_missed},
         {"positions", r.positions},
         {"notices", r.notices},
         {"told_arp_ecef_m",
          r.told_arp ? Json{r.told_arp->x_m, r.told_arp->y_m, r.told_arp->z_m}
                     : Json(nullptr)},
         {"cut", r.sessions > 1}});
  }
  return list;
}

Json files_of(const DemoReport& report) {
  Json list = Json::array();
  for (const DemoFile& f : report.files) {
    list.push_back({{"kind", f.kind}, {"path", f.path}, {"start", f.start}});
  }
  return list;
}

Json position_of(const DemoWorld& world,
                 const std::optional<DemoPosition>& position) {
  if (!position) {
    return nullptr;
  }
  const DemoPosition& p = *position;
  const Ecef truth = to_ecef(world.receiver().marker);
  return {{"status", p.status},
          {"ecef_m", {p.found.x_m, p.found.y_m, p.found.z_m}},
          {"true_ecef_m", {truth.x_m, truth.y_m, truth.z_m}},
          {"point", point_name(Point::kMarker)},
          {"error_enu_m", enu(p.error_m)},
          {"sigma_enu_m", enu(p.sigma_m)},
          {"within_four_sigma", p.is_true()},
          {"observations", p.observations},
          {"navigation", p.navigation}};
}

Json adopted_of(const DemoWorld& world,
                const std::optional<DemoAdopted>& adopted) {
  constexpr double kTwoSigmas = 2;
  if (!adopted) {
    return nullptr;
  }
  const DemoAdopted& a = *adopted;
  const Ecef truth = to_ecef(world.receiver().marker);
  return {{"record", a.record},
          {"method", a.method},
          {"ecef_m", {a.found.x_m, a.found.y_m, a.found.z_m}},
          {"true_ecef_m", {truth.x_m, truth.y_m, truth.z_m}},
          {"point", point_name(Point::kMarker)},
          {"error_enu_m", enu(a.error_m)},
          {"sigma_enu_m", enu(a.sigma_m)},
          {"within_two_sigma", a.is_within(kTwoSigmas)},
          {"adopted_after_s", or_null(a.adopted_after_s)},
          {"trusted_after_s", or_null(a.trusted_after_s)}};
}

Json events_of(const DemoReport& report) {
  Json list = Json::array();
  for (const DemoEvent& e : report.events) {
    Json numbers = Json::object();
    for (const auto& [name, value] : e.numbers) {
      numbers[name] = or_null(value);
    }
    list.push_back({{"kind", demo_event_name(e.kind)},
                    {"from", format_utc(e.from)},
                    {"to", format_utc(e.to)},
                    {"seen", e.seen},
                    {"numbers", std::move(numbers)}});
  }
  return list;
}

}  // namespace

std::string demo_document(const DemoArgs& args,
                          const DemoWorld& world,
                          const DemoFolder& folder,
                          const DemoReport& report) {
  const auto& played = report.played;
  const auto& station = report.station;
  Json document = {{"schema_version", report::kSchemaVersion},
                   {"simulated", true},
                   {"interrupted", report.interrupted},
                   {"scenario", world.scenario.name},
                   {"station", world.receiver().name},
                   {"start", format_utc(world.scenario.start)},
                   {"end", format_utc(world.end)},
                   {"dir", folder.path()},
                   {"config", folder.config()},
                   {"log", folder.log_of("station")},
                   {"speed", args.speed},
                   {"wall_s", report.wall_s}};
  document["epochs"] = {
      {"simulated", played ? Json(played->epochs) : Json(nullptr)},
      {"decoded", station ? Json(station->epochs) : Json(nullptr)},
      {"in_minutes", or_null(report.epochs_in_minutes)}};
  document["receiver_commands"] =
      played ? Json(played->commands) : Json(nullptr);
  document["bytes"] = {
      {"simulated", played ? Json(played->bytes) : Json(nullptr)},
      {"recorded", station ? Json(station->safe_bytes) : Json(nullptr)}};
  document["rovers"] = rovers_of(report);
  document["files"] = files_of(report);
  document["position"] = position_of(world, report.position);
  document["adopted"] = adopted_of(world, report.adopted);
  document["events"] = events_of(report);
  document["problems"] = report.problems;
  document["version"] = STILLPOINT_VERSION;
  return report::to_text(document);
}

}  // namespace stillpoint::app
