#include "stillpoint/app/demo_story.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <vector>

#include "stillpoint/app/demo_event_text.h"
#include "stillpoint/app/demo_words.h"
#include "stillpoint/station/small_file.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr double kMb = 1e6;
constexpr std::size_t kBar = 12;

double mb(std::uint64_t bytes) {
  return static_cast<double>(bytes) / kMb;
}

// "06-02 14:20".
std::string date_and_time(GnssTime t) {
  std::string text = format_gpst(t).substr(5, 11);
  text[5] = ' ';
  return text;
}

std::string recorded(const DemoReport& report) {
  const StationView& s = *report.station;
  std::string text = wrapped(fmt::format(
      "The receiver sent {} epochs in {} bytes; the station recorded "
      "{} bytes and read {} epochs. It took {:.0f} MB of memory.",
      report.played->epochs,
      report.played->bytes,
      s.safe_bytes,
      s.epochs,
      mb(s.resident_bytes)));
  for (const RoverFacts& r : report.rovers) {
    fmt::format_to(std::back_inserter(text),
                   "  {:<10} {:.1f} MB, {} frames, {} epochs, {} missed in {} "
                   "gap{}\n",
                   r.name,
                   mb(r.bytes),
                   r.frames,
                   r.epochs,
                   r.epochs_missed,
                   r.gaps,
                   r.gaps == 1 ? "" : "s");
  }
  return text;
}

std::string position(const DemoPosition& p) {
  const auto row = [](const char* name, const Enu& v) {
    return fmt::format(
        "  {:<6}{:9.3f}{:9.3f}{:9.3f} m\n", name, v.e_m, v.n_m, v.u_m);
  };
  return wrapped(fmt::format(
             "Where is the antenna? From the code ranges of the first day, "
             "locate is off by {:.2f} m from where the scenario has put the "
             "marker:",
             std::hypot(p.error_m.e_m, p.error_m.n_m, p.error_m.u_m))) +
         fmt::format("        {:>9}{:>9}{:>9}\n", "east", "north", "up") +
         row("error", p.error_m) + row("sigma", p.sigma_m);
}

std::string next_steps(const DemoFolder& folder, const DemoReport& report) {
  std::string text = "Try next:\n";
  const auto add = [&text](const char* why,
                           const std::vector<std::string>& words) {
    text += fmt::format("  {}\n    {}\n", why, typed_command(words));
  };
  if (report.position) {
    std::vector<std::string> words{
        "locate", report.position->observations, "--nav"};
    words.insert(words.end(),
                 report.position->navigation.begin(),
                 report.position->navigation.end());
    add("the position in full, with what limits it", words);
  }
  add("what was recorded in other files, hourly and packed",
      {"export",
       "--config",
       folder.config(),
       "--period",
       "hour",
       "--hatanaka",
       "--gzip",
       "--out",
       folder.rinex() + "/hourly"});
  add("who may have the stream", {"rovers", "--config", folder.config()});
  add("the simulated receiver in real time",
      {"simulate", kDemoScenario, "--to", "tcp:5015"});
  add("what it sends (in another window)",
      {"listen", "tcp://127.0.0.1:5015", "--profile", "spdemo-r1"});
  add("a receiver of your own", {"listen", "serial:/dev/ttyACM0"});
  return text;
}

std::string places(const DemoFolder& folder) {
  return fmt::format(
      "Everything lies in {}\n"
      "  station.toml, receiver.toml  the settings\n"
      "  state/                       received bytes, logbook, accounts\n"
      "  rovers/                      the rovers' passwords\n"
      "  rinex/                       what was exported\n"
      "  position.json                what locate found\n"
      "  logs/                        what each of them said\n",
      folder.path());
}

constexpr const char* kCautions =
    "Before it is real: on roofs and masts use fall protection, never work "
    "alone and keep clear of overhead lines. Lightning protection, earthing "
    "and mains outdoors belong to a licensed electrician. A radio link needs a "
    "licence, or must keep within what your country allows without one. A "
    "coordinate computed here is no survey certificate: boundaries and the "
    "control of construction are for licensed professionals. Corrections are "
    "no safety function: machines and drones keep their own, and nothing here "
    "is for aviation or where lives depend on it.";

}  // namespace

std::string demo_opening(const DemoArgs& args,
                         const DemoWorld& world,
                         const DemoFolder& folder,
                         const DemoPorts& ports) {
  return fmt::format(
      "Simulated: {:g} hours of the station on the seed store of Larch Hollow, "
      "a place\nthat is on no map, {:g} times as fast as they would go by.\n"
      "  {}  receiver {}, antenna {}, an epoch every {:g} s\n"
      "  rovers     ditch-1 and tractor-2, at 127.0.0.1:{}/{}\n"
      "  folder     {}\n\n",
      (world.end - world.scenario.start).s / 3600,
      args.speed,
      world.receiver().name,
      world.receiver().receiver_type,
      world.receiver().antenna.substr(0, world.receiver().antenna.find(' ')),
      kDemoIntervalS,
      ports.rovers,
      kDemoMount,
      folder.path());
}

std::string demo_console(const DemoFolder& folder, const DemoPorts& ports) {
  constexpr std::size_t kMostCode = 100;
  const auto code = station::read_small_file(folder.claim_code(), kMostCode);
  return fmt::format(
      "simulated: the console is at http://127.0.0.1:{}/  (claim code {})\n",
      ports.console,
      code ? code->substr(0, code->find('\n')) : "in " + folder.claim_code());
}

std::string demo_adopted(const DemoAdopted& adopted) {
  constexpr double kMm = 1000;
  const auto row = [](const Enu& v) {
    return fmt::format(
        "{:.1f} {:.1f} {:.1f}", kMm * v.e_m, kMm * v.n_m, kMm * v.u_m);
  };
  return fmt::format(
      "simulated: record {} ({}) is adopted after {:.0f} s: sigma {} mm east, "
      "north, up;\n           off by {} mm from where the scenario has put the "
      "marker\n",
      adopted.record,
      adopted.method,
      adopted.adopted_after_s.value_or(0),
      row(adopted.sigma_m),
      row(adopted.error_m));
}

std::string demo_moment(const DemoMoment& moment, bool with_bar) {
  std::string bar;
  if (with_bar) {
    const double done =
        std::clamp(moment.share, 0.0, 1.0) * static_cast<double>(kBar);
    const auto full = static_cast<std::size_t>(done);
    bar = "[" + std::string(full, '=') + std::string(kBar - full, ' ') + "] ";
  }
  return fmt::format(
      "{}simulated {}  {} satellites  {:.1f} MB recorded  {} rovers",
      bar,
      date_and_time(moment.simulated),
      moment.station.satellites,
      mb(moment.station.safe_bytes),
      moment.station.rovers);
}

std::string demo_story(const DemoWorld& world,
                       const DemoFolder& folder,
                       const DemoReport& report) {
  if (report.interrupted) {
    return "\nEnded by Ctrl-C; what was simulated so far lies in " +
           folder.path() + ".\n";
  }
  std::string text = "\nWhat happened (simulated; times are GPS time)\n\n";
  text += recorded(report) + "\n";
  for (const DemoEvent& event : report.events) {
    text += demo_event_text(world, event) + "\n";
  }
  if (report.position) {
    text += position(*report.position) + "\n";
  }
  for (const std::string& problem : report.problems) {
    text += wrapped("NOT AS IT SHOULD BE: " + problem + ".") + "\n";
  }
  text += next_steps(folder, report) + "\n" + places(folder) + "\n";
  return text + wrapped(kCautions);
}

}  // namespace stillpoint::app
