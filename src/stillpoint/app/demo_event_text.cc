#include "stillpoint/app/demo_event_text.h"

#include <fmt/format.h>

#include "stillpoint/app/demo_words.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

constexpr double kMillimetres = 1e3;
constexpr double kDayS = 86'400;

std::string clock(GnssTime t) {
  return format_gpst(t).substr(11, 8);
}

std::string value(const DemoEvent& event, const char* name, int decimals) {
  const auto number = event.number(name);
  return number ? fmt::format("{:.{}f}", *number, decimals) : "unknown";
}

std::string gap(const DemoEvent& e) {
  return fmt::format(
      "The receiver's supply was unplugged until {}. {} epochs are missing in "
      "the minute values, and in every file: nothing is filled in.",
      clock(e.to),
      value(e, "epochs_missed", 0));
}

std::string jammer(const DemoEvent& e) {
  return fmt::format(
      "Somebody drove by with a jammer, until {}. The mean C/N0 on GPS L1 C/A "
      "was {} dB-Hz in the ten minutes before, {} in the weakest epoch that "
      "had any, and {} in the ten minutes after; in {} epochs no satellite was "
      "left on L1 C/A. Of all systems and frequencies there were {} satellites "
      "before, and {} at the least.",
      clock(e.to),
      value(e, "cn0_before_dbhz", 1),
      value(e, "cn0_worst_dbhz", 1),
      value(e, "cn0_after_dbhz", 1),
      value(e, "epochs_without", 0),
      value(e, "satellites_before", 0),
      value(e, "satellites_least", 0));
}

std::string scintillation(const DemoEvent& e) {
  return fmt::format(
      "The ionosphere scintillated low in the south until {}. Losses of lock "
      "on GPS L1 C/A: {}, against {} in as long a time before; lowest mean "
      "C/N0 {} dB-Hz against {}. {}",
      clock(e.to),
      value(e, "slips", 0),
      value(e, "slips_before", 0),
      value(e, "cn0_least_dbhz", 1),
      value(e, "cn0_before_least_dbhz", 1),
      e.seen ? "" : "So mild a spell hardly shows in the minute values.");
}

std::string move(const DemoEvent& e) {
  return fmt::format(
      "A ladder knocked the antenna by {:.0f} mm. It is in the recorded bytes, "
      "and this version does not see it yet: its positions, from code ranges, "
      "scatter by decimetres.",
      kMillimetres * e.number("moved_m").value_or(0));
}

std::string words_of(const DemoEvent& event) {
  switch (event.kind) {
    case DemoEventKind::kGap:
      return gap(event);
    case DemoEventKind::kJammer:
      return jammer(event);
    case DemoEventKind::kScintillation:
      return scintillation(event);
    case DemoEventKind::kMove:
      return move(event);
  }
  return {};
}

}  // namespace

std::string demo_event_text(const DemoWorld& world, const DemoEvent& event) {
  const double since_s = (event.from - world.scenario.start).s;
  return wrapped(fmt::format("Day {}, {}. {}",
                             static_cast<int>(since_s / kDayS) + 1,
                             clock(event.from),
                             words_of(event)));
}

const char* demo_event_name(DemoEventKind kind) {
  switch (kind) {
    case DemoEventKind::kGap:
      return "gap";
    case DemoEventKind::kJammer:
      return "jammer";
    case DemoEventKind::kScintillation:
      return "scintillation";
    case DemoEventKind::kMove:
      return "move";
  }
  return "";
}

}  // namespace stillpoint::app
