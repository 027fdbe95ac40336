// Recorded segments to RINEX files.
#pragma once

#include <string>

#include "stillpoint/core/file_system.h"
#include "stillpoint/intake/export/export_answer.h"
#include "stillpoint/intake/export/export_request.h"

namespace stillpoint::intake {

// Reads the recording twice, and a little before and after the span: segments
// stand by the time of reception, epochs count here. Where the clock of the
// recording was far off, as much more is read as it was. Memory does not grow
// with the length of a file.
//
//   root     the folder that holds YYYY/DDD/HH.seg
//   errors   kNoData: no epoch of these times; as archive::read_archive(),
//            `open` and the files' writing
Result<ExportAnswer> export_archive(FileSystem& files,
                                    const std::string& root,
                                    const ExportRequest& request,
                                    const OpenFile& open,
                                    const ExportProgress& progress);

}  // namespace stillpoint::intake
