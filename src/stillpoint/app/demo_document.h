// The JSON document of `demo`; its schema is docs/schemas/demo.schema.json.
#pragma once

#include <string>

#include "stillpoint/app/demo_args.h"
#include "stillpoint/app/demo_folder.h"
#include "stillpoint/app/demo_report.h"

namespace stillpoint::app {

std::string demo_document(const DemoArgs& args,
                          const DemoWorld& world,
                          const DemoFolder& folder,
                          const DemoReport& report);

}  // namespace stillpoint::app
