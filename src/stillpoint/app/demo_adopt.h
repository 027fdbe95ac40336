// Between the demo's two parts: its products before it begins, and the choice
// of a coordinate when the station has found one.
#pragma once

#include <cstdint>
#include <optional>

#include "stillpoint/app/demo_report.h"
#include "stillpoint/app/demo_stage.h"
#include "stillpoint/store/store.h"

namespace stillpoint::app {

// The scenario's orbits, clocks, biases and antennas up to its end, into the
// demo's folder.
//
//   errors   kIo, as from the verb
Status make_demo_products(DemoStage& stage, const DemoWorld& world);

// The position that the station itself has found of what came up to `end`: of
// the whole day where there is one, else the last growing one; nothing yet.
//
//   errors   as Store
Result<std::optional<StoredRecord>> find_demo_record(const DemoStage& stage,
                                                     const DemoWorld& world,
                                                     GnssTime end);

// Adopts it by the verb.
//
//   errors   as from the verb
Result<DemoAdopted> adopt_demo(DemoStage& stage,
                               const DemoWorld& world,
                               const StoredRecord& record);

}  // namespace stillpoint::app
