// What `export` answers, for people and for programs; the schema is
// docs/schemas/export.schema.json.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "stillpoint/app/export_args.h"
#include "stillpoint/app/export_files.h"
#include "stillpoint/intake/export/export_answer.h"

namespace stillpoint::app {

struct ExportDone {
  std::string station;
  std::string recording;  // the folder that was read
  intake::ExportAnswer answer;
  std::vector<WrittenFile> written;  // one for each of answer.files
};

nlohmann::ordered_json export_json(const ExportArgs& args,
                                   const ExportDone& done);
std::string export_text(const ExportDone& done);

}  // namespace stillpoint::app
