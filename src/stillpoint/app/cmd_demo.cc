// `stillpoint demo`: the whole job on the simulated station, told as a story.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <optional>
#include <utility>

#include "stillpoint/app/demo_adopt.h"
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

// Where the first part ends: behind a whole day, so that the station knows that
// it is over, or at most of what there is.
GnssTime first_end(const DemoWorld& world) {
  constexpr double kDayS = 86'400, kBehindS = 600, kShare = 0.8, kStepS = 60;
  const double whole_s = (world.end - world.scenario.start).s;
  return whole_s > kDayS + 2 * kBehindS
             ? world.at(kDayS + kBehindS)
             : world.at(std::floor(kShare * whole_s / kStepS) * kStepS);
}

// The first day, its coordinate, and what comes behind it.
class Performance {
 public:
  Performance(const DemoArgs& args,
              const DemoWorld& world,
              const DemoPorts& ports,
              DemoStage& stage,
              Voice& voice)
      : args_(args),
        world_(world),
        ports_(ports),
        stage_(stage),
        voice_(voice),
        play_(world, ports, stage) {}

  // The report is told whatever comes of it.
  Status perform(DemoReport& report) {
    Status done = make_demo_products(stage_, world_);
    if (done) {
      done = play_.open();
    }
    if (done) {
      voice_.say(demo_console(stage_.folder(), ports_));
      done = first_part();
    }
    if (done) {
      done = second_part(report);
    }
    play_.tell(report);
    if (done) {
      done = play_.close();
    }
    if (done) {
      voice_.say("simulated: all is recorded; now to files and a position\n");
      done = answer(world_, stage_, report);
    }
    return done;
  }

 private:
  [[nodiscard]] double seconds() const {
    return std::chrono::duration<double>(Clock::now() - began_).count();
  }

  void show(const DemoMoment& moment) { voice_.show(moment); }

  Status first_part() {
    return play_.play(world_.scenario.start,
                      first_end(world_),
                      args_.speed,
                      [this](const DemoMoment& m) { show(m); });
  }

  // What the station finds is adopted, and then it comes to trust itself. With
  // --stay it goes on receiving meanwhile, as any other station would; else the
  // second part waits, so that it ends in trust on the slowest computer.
  Status second_part(DemoReport& report) {
    voice_.say("simulated: the station works out where its antenna is\n");
    if (!args_.stay) {
      if (auto waited = wait_for_adoption(report); !waited) {
        return waited;
      }
    } else {
      voice_.say(
          "simulated: the second day goes by in real time, until Ctrl-C\n");
      if (auto added = play_.add_rover(kDemoGuest); !added) {
        return added;
      }
    }
    Status looked = ok();
    const Status done = play_.play(
        first_end(world_),
        world_.end,
        args_.stay ? 1 : second_speed(),
        [this](const DemoMoment& m) { show(m); },
        [&] {
          looked = look(report);
          return !looked;
        });
    return done ? looked : done;
  }

  // Once a second: is there a coordinate, and then trust?
  Status look(DemoReport& report) {
    constexpr double kEveryS = 1;
    if (seconds() - looked_s_ < kEveryS) {
      return ok();
    }
    looked_s_ = seconds();
    if (!report.adopted) {
      auto found = find_demo_record(stage_, world_, first_end(world_));
      if (!found) {
        return fail(std::move(found.error()));
      }
      return *found ? adopt(**found, report) : ok();
    }
    if (!report.adopted->trusted_after_s && play_.trust() == "trusted") {
      report.adopted->trusted_after_s = seconds();
      voice_.say(
          fmt::format("simulated: the station trusts itself after {:.0f} s; "
                      "rovers get its coordinate\n",
                      *report.adopted->trusted_after_s));
    }
    return ok();
  }

  Status adopt(const StoredRecord& record, DemoReport& report) {
    auto adopted = adopt_demo(stage_, world_, record);
    if (!adopted) {
      return fail(std::move(adopted.error()));
    }
    adopted->adopted_after_s = seconds();
    voice_.say(demo_adopted(*adopted));
    report.adopted = std::move(*adopted);
    return ok();
  }

  Status wait_for_adoption(DemoReport& report) {
    constexpr double kLongestS = 900;
    Status looked = ok();
    Status waited = stage_.wait(
        "the station has solved its first day",
        kLongestS,
        [&] {
          looked = look(report);
          return !looked || report.adopted.has_value();
        },
        [this] { return play_.check(); });
    return waited ? looked : waited;
  }

  // Trust takes its time, whatever the speed: a source that has just come back
  // counts after ten seconds (docs/trust.md).
  [[nodiscard]] double second_speed() const {
    constexpr double kLeastS = 20;
    const double rest_s = (world_.end - first_end(world_)).s;
    return std::clamp(rest_s / kLeastS, 1.0, args_.speed);
  }

  const DemoArgs& args_;
  const DemoWorld& world_;
  const DemoPorts ports_;
  DemoStage& stage_;
  Voice& voice_;
  DemoPlay play_;
  const Clock::time_point began_ = Clock::now();
  double looked_s_ = 0;
};

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
  const Status done =
      Performance(args, world, *ports, stage, voice).perform(report);
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
