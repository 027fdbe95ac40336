// The options of `locate` as one JSON object: how a program starts it.
// docs/formats/locate-job.md explains the keys.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/app/locate_args.h"
#include "stillpoint/core/result.h"

namespace stillpoint::app {

// Reads the text of a job (up to 256 KiB). What the values mean is checked
// where those of the command line are.
//
//   name     of the file, for messages
//   folder   that relative paths count from; empty: this process's
//   errors   kUsage with the key, what is allowed and the remedy: no object,
//            an unknown key, a key twice, a value of another type, lists of
//            over 1000 values, texts of over 4096 bytes or with control
//            characters, no `observations`, no `out`
//   source   RFC 8259, through a general-purpose library
Result<LocateWords> parse_locate_job(std::string_view text,
                                     const std::string& name,
                                     const std::string& folder);

//   errors   kIo, and those of parse_locate_job()
Result<LocateWords> read_locate_job(const std::string& path);

}  // namespace stillpoint::app
