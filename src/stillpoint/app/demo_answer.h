// The second part of the demo: RINEX files of what was recorded, and a
// position from the first day.
#pragma once

#include <vector>

#include "stillpoint/app/demo_report.h"
#include "stillpoint/app/demo_stage.h"
#include "stillpoint/core/result.h"

namespace stillpoint::app {

//   errors   kIo, as from the verbs that were started
Result<std::vector<DemoFile>> export_demo(DemoStage& stage);

// Of the first file of observations, with the ephemerides of its day, against
// where the scenario has put the marker.
//
//   errors   kNoData without such a pair; kIo, as from the verb
Result<DemoPosition> locate_demo(DemoStage& stage,
                                 const DemoWorld& world,
                                 const std::vector<DemoFile>& files);

}  // namespace stillpoint::app
