// `stillpoint demo`: the whole job on the simulated station, told as a story.
#include <algorithm>
#include <chrono>
#include <optional>
#include <utility>

#include "stillpoint/app/demo_answer.h"
#include "stillpoint/app/demo_args.h"
#include "stillpoint/app/demo_document.h"
#include "stillpoint/app/demo_events.h"
#include "stillpoint/app/demo_play.h"
#include "stillpoint/app/demo_story.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/screen.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/core/check.h"
#include "stillpoint/store/store.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using Clock = std::chrono::steady_clock;

constexpr double kLineEveryS = 4, kBarEveryS = 0.2;

DemoWorld world_of(const DemoArgs& args) {
  const auto text = simulate::find_shipped_scenario(kDemoScenario);
  STILLPOINT_CHECK(text.has_value());
  auto scenario = simulate::parse_scenario(*text, kDemoScenario);
  STILLPOINT_CHECK(scenario.has_value());
  DemoWorld world{std::move(*scenario), {}};
  world.end = world.at(std::min(world.scenario.length_s, 3600 * args.hours));
  return world;
}

// Text goes to stdout, or to stderr where a document will stand there.
class Voice {
 public:
  Voice(bool json, bool plain)
      : json_(json), bar_(!json && can_redraw(plain)) {}

  void say(const std::string& text) const {
    if (json_) {
      print_note(text);
    } else {
      print_data(text);
    }
  }

  void show(const DemoMoment& moment) {
    const auto now = Clock::now();
    const std::chrono::duration<double> every(bar_ ? kBarEveryS : kLineEveryS);
    if (shown_at_ && now - *shown_at_ < every) {
      return;
    }
    shown_at_ = now;
    const std::string line = demo_moment(moment, bar_) + "\n";
    if (bar_) {
      screen_.show(line);
    } else {
      say(line);
    }
  }

 private:
  const bool json_, bar_;
  Screen screen_;
  std::optional<Clock::time_point> shown_at_;
};

Status read_records(const DemoWorld& world,
                    const DemoFolder& folder,
                    DemoReport& report) {
  auto store = Store::open(folder.database());
  if (!store) {
    return fail(std::move(store.error()));
  }
  auto events = find_demo_events(world, store->minutes());
  if (!events) {
    return fail(std::move(events.error()));
  }
  report.events = std::move(*events);
  const auto epochs = epochs_in_minutes(world, store->minutes());
  if (!epochs) {
    return fail(epochs.error());
  }
  report.epochs_in_minutes = *epochs;
  return ok();
}

Status answer(const DemoWorld& world, DemoStage& stage, DemoReport& report) {
  auto files = export_demo(stage);
  if (!files) {
    return fail(std::move(files.error()));
  }
  report.files = std::move(*files);
  auto position = locate_demo(stage, world, report.files);
  if (!position) {
    return fail(std::move(position.error()));
  }
  report.position = std::move(*position);
  return read_records(world, stage.folder(), report);
}

// All of it; the report is told whatever comes of it.
Status perform(const DemoArgs& args,
               const DemoWorld& world,
               const DemoPorts& ports,
               DemoStage& stage,
               Voice& voice,
               DemoReport& report) {
  DemoPlay play(args, world, ports, stage);
  Status done = play.open();
  if (done) {
    done = play.play([&](const DemoMoment& moment) { voice.show(moment); });
  }
  play.tell(report);
  if (done) {
    done = play.close();
  }
  if (done) {
    voice.say("simulated: all is recorded; now to files and a position\n");
    done = answer(world, stage, report);
  }
  return done;
}

Result<int> demo(const DemoArgs& args, const Arguments& arguments) {
  const auto began = Clock::now();
  const DemoWorld world = world_of(args);
  auto folder = DemoFolder::take(args.dir);
  if (!folder) {
    return fail(std::move(folder.error()));
  }
  const auto ports = find_demo_ports(args.port);
  if (!ports) {
    return fail(ports.error());
  }
  if (auto written =
          write_demo_settings(*folder,
                              *ports,
                              world.receiver().name,
                              format_gpst(world.scenario.start).substr(0, 10));
      !written) {
    return fail(std::move(written.error()));
  }
  DemoStage stage(std::move(*folder));
  Voice voice(arguments.json, arguments.plain);
  voice.say(demo_opening(args, world, stage.folder(), *ports));
  DemoReport report;
  const Status done = perform(args, world, *ports, stage, voice, report);
  if (!done && !stage.interrupted()) {
    return fail(done.error());
  }
  report.interrupted = stage.interrupted();
  report.wall_s = std::chrono::duration<double>(Clock::now() - began).count();
  if (!report.interrupted) {
    judge_demo(report);
  }
  const bool printed = print_data(
      arguments.json ? demo_document(args, world, stage.folder(), report)
                     : demo_story(world, stage.folder(), report));
  return !printed ? kExitSystem : report.problems.empty() ? kExitGood : kExitNo;
}

}  // namespace

int run_demo(const Arguments& arguments) {
  const auto args = parse_demo(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpDemo) ? kExitGood : kExitSystem;
  }
  const auto code = demo(*args, arguments);
  if (code) {
    return *code;
  }
  // Everything but the command is the system's: what is read, it has written.
  const int said = report_error(code.error(), arguments.json);
  return said == kExitUsage ? kExitUsage : kExitSystem;
}

}  // namespace stillpoint::app
