// What `locate` hands out: digests of what it read, the record, the page for
// people, the document or text on stdout.
#pragma once

#include <vector>

#include "stillpoint/app/locate_args.h"
#include "stillpoint/app/locate_session.h"
#include "stillpoint/core/result.h"
#include "stillpoint/report/locate_context.h"

namespace stillpoint::app {

// Every input once, by its path, with the SHA-256 of its bytes.
//
//   errors   kUsage of a source that is no file, kIo
Result<std::vector<report::InputFile>> digests(const LocateArgs& args);

// Of an answer: good, no, or input that did not do.
int exit_code_for(solve::SolveStatus status);

// Adds the warning that corrections were left out on request, where they were.
void warn_without(const LocateArgs& args, solve::Solution& solution);

// Without the inputs.
report::LocateContext context_of(const LocateArgs& args,
                                 const LocateSession& session,
                                 bool precise);

// Writes the record and the page where they are asked for, prints, and says
// with which code to exit.
int hand_out(const LocateArgs& args,
             const LocateSession& session,
             const report::LocateContext& context,
             bool json);

}  // namespace stillpoint::app
