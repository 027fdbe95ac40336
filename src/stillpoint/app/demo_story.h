// What the demo tells people: how it goes, what happened, what to try next.
#pragma once

#include <string>

#include "stillpoint/app/demo_args.h"
#include "stillpoint/app/demo_folder.h"
#include "stillpoint/app/demo_play.h"
#include "stillpoint/app/demo_report.h"

namespace stillpoint::app {

// Before it begins.
std::string demo_opening(const DemoArgs& args,
                         const DemoWorld& world,
                         const DemoFolder& folder,
                         const DemoPorts& ports);

// Where the page is, once the station runs, and how to become its owner.
std::string demo_console(const DemoFolder& folder, const DemoPorts& ports);

// What was adopted.
std::string demo_adopted(const DemoAdopted& adopted);

// A line of progress, without its end.
//
//   with_bar   for a terminal
std::string demo_moment(const DemoMoment& moment, bool with_bar);

// At the end.
std::string demo_story(const DemoWorld& world,
                       const DemoFolder& folder,
                       const DemoReport& report);

}  // namespace stillpoint::app
