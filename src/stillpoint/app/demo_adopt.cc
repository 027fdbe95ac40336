#include "stillpoint/app/demo_adopt.h"

#include <fmt/format.h>

#include <array>
#include <utility>
#include <vector>

#include "stillpoint/app/demo_settings.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/store/store.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr double kDayS = 86'400, kHourS = 3600;

// What the demo waits for: a position of the whole day by phases, else one that
// reaches to within an hour of the end.
bool is_awaited(const StoredRecord& stored,
                const DemoWorld& world,
                GnssTime end) {
  const PositionRecord& record = stored.record;
  if (record.origin != RecordOrigin::kStation || !record.first || !record.end) {
    return false;
  }
  if ((end - world.scenario.start).s > kDayS) {
    return record.source == "day";
  }
  return (end - *record.end).s <= kHourS;
}

}  // namespace

Status make_demo_products(DemoStage& stage, const DemoWorld& world) {
  const auto code = stage.run("products",
                              {"simulate",
                               kDemoScenario,
                               "--products",
                               "--receiver",
                               world.receiver().name,
                               "--end",
                               format_gpst(world.end),
                               "--out",
                               stage.folder().products(),
                               "--json"},
                              stage.folder().logs() + "/products.out");
  if (!code) {
    return fail(code.error());
  }
  return *code == kExitGood ? ok() : fail(stage.went_wrong("products", *code));
}

Result<std::optional<StoredRecord>> find_demo_record(const DemoStage& stage,
                                                     const DemoWorld& world,
                                                     GnssTime end) {
  auto store = Store::open(stage.folder().database());
  if (!store) {
    return fail(std::move(store.error()));
  }
  auto records = store->positions().list();
  if (!records) {
    return fail(std::move(records.error()));
  }
  for (StoredRecord& stored : *records) {
    if (is_awaited(stored, world, end)) {
      return std::optional(std::move(stored));
    }
  }
  return std::optional<StoredRecord>();
}

Result<DemoAdopted> adopt_demo(DemoStage& stage,
                               const DemoWorld& world,
                               const StoredRecord& record) {
  const auto code = stage.run("adopt",
                              {"adopt",
                               std::to_string(record.id),
                               "--config",
                               stage.folder().config(),
                               "--reason",
                               "the first day of the demo, by its own solve",
                               "--by",
                               "demo",
                               "--json"},
                              stage.folder().logs() + "/adopt.out");
  if (!code) {
    return fail(code.error());
  }
  if (*code != kExitGood) {
    return fail(stage.went_wrong("adopt", *code));
  }
  const FramedPosition marker = report::marker_of(record.record);
  const auto sigma = report::sigma_enu_m(marker);
  DemoAdopted adopted;
  adopted.record = record.id;
  adopted.method = record.record.method;
  adopted.found = marker.ecef;
  adopted.arp = report::arp_of(record.record).ecef;
  adopted.sigma_m = {sigma[0], sigma[1], sigma[2]};
  adopted.error_m = to_enu(marker.ecef, to_ecef(world.receiver().marker));
  return adopted;
}

}  // namespace stillpoint::app
