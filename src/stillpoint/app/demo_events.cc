#include "stillpoint/app/demo_events.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "stillpoint/app/demo_settings.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/quality/minute_rows.h"

namespace stillpoint::app {
namespace {

constexpr double kMinuteS = 60;
constexpr double kAroundS = 600;   // what is normal before and after
constexpr double kSeenLossDb = 6;  // of C/N0, in a minute: no weather does
constexpr const char* kEpochs = "epochs_received_count";
constexpr const char* kStrength = "cn0_mean_dbhz.G.1C";
constexpr const char* kSlips = "slips_count.G.1C";

// Over the samples of a span.
struct Summary {
  std::int64_t count = 0;
  double sum = 0;
  std::optional<double> least;       // of all samples
  std::optional<double> least_mean;  // of the minutes' means
  [[nodiscard]] std::optional<double> mean() const {
    return count > 0 ? std::optional(sum / static_cast<double>(count))
                     : std::nullopt;
  }
};

std::string satellites_of(System system) {
  return std::string("satellites_count.") + system_letter(system);
}

void take_least(std::optional<double>& least, double value) {
  least = least ? std::min(*least, value) : value;
}

class Records {
 public:
  Records(const DemoWorld& world, const Minutes& minutes)
      : world_(world), minutes_(minutes) {}

  // The whole minutes that the span touches, as far as the world goes.
  Summary over(const std::string& name, GnssTime from, GnssTime to) {
    const GnssTime first =
        quality::minute_of(std::max(from, world_.scenario.start));
    Summary summary;
    const auto rows = minutes_.read(name, first, std::min(to, world_.end));
    if (!rows) {
      error_ = rows.error();
      return summary;
    }
    for (const MinuteAggregate& row : *rows) {
      summary.count += row.count;
      summary.sum += row.sum;
      take_least(summary.least, row.min);
    }
    return summary;
  }

  // Satellites of all systems: their mean.
  std::optional<double> satellites(GnssTime from, GnssTime to) {
    std::optional<double> all;
    for (const System system : kSystems) {
      if (const auto one = over(satellites_of(system), from, to).mean()) {
        all = all.value_or(0) + *one;
      }
    }
    return all;
  }

  // The fewest, minute by minute. A system's fewest may be of another epoch of
  // the minute than its neighbour's.
  std::optional<double> fewest_satellites(GnssTime from, GnssTime to) {
    std::optional<double> fewest;
    for (GnssTime t = quality::minute_of(from); t < to;
         t = t + Duration{kMinuteS}) {
      std::optional<double> all;
      for (const System system : kSystems) {
        const auto one =
            over(satellites_of(system), t, t + Duration{kMinuteS}).least;
        all = one ? all.value_or(0) + *one : all;
      }
      if (all) {
        take_least(fewest, *all);
      }
    }
    return fewest;
  }

  [[nodiscard]] const std::optional<Error>& error() const { return error_; }

 private:
  const DemoWorld& world_;
  const Minutes& minutes_;
  std::optional<Error> error_;
};

DemoEvent gap(const DemoWorld& world,
              const simulate::Span& span,
              Records& records) {
  DemoEvent event{DemoEventKind::kGap,
                  world.at(span.from_s),
                  world.at(span.to_s),
                  false,
                  {}};
  const GnssTime from = quality::minute_of(event.from);
  const GnssTime to =
      std::min(quality::minute_of(event.to) + Duration{kMinuteS}, world.end);
  const double expected = std::ceil((to - from).s / kDemoIntervalS);
  const auto count = records.over(kEpochs, from, to).count;
  std::optional<double> missed;
  if (count > 0) {
    missed = expected - static_cast<double>(count);
  }
  event.seen = missed && *missed > 0;
  event.numbers = {{"epochs_missed", missed}};
  return event;
}

DemoEvent jammer(const DemoWorld& world,
                 const simulate::Jammer& j,
                 Records& records) {
  DemoEvent event{
      DemoEventKind::kJammer, world.at(j.from_s), world.at(j.to_s), false, {}};
  const GnssTime before = event.from - Duration{kAroundS};
  const GnssTime behind = quality::minute_of(event.to) + Duration{kMinuteS};
  const GnssTime after = behind + Duration{kAroundS};
  const auto usual = records.over(kStrength, before, event.from).mean();
  const Summary during = records.over(kStrength, event.from, event.to);
  const auto epochs = records.over(kEpochs, event.from, event.to).count;
  event.numbers = {
      {"cn0_before_dbhz", usual},
      {"cn0_worst_dbhz", during.least},
      {"cn0_after_dbhz", records.over(kStrength, behind, after).mean()},
      {"epochs_without", static_cast<double>(epochs - during.count)},
      {"satellites_before", records.satellites(before, event.from)},
      {"satellites_least", records.fewest_satellites(event.from, event.to)}};
  event.seen = usual && during.least && *usual - *during.least > kSeenLossDb;
  return event;
}

DemoEvent scintillation(const DemoWorld& world,
                        const simulate::ScintillationSpell& s,
                        Records& records) {
  DemoEvent event{DemoEventKind::kScintillation,
                  world.at(s.from_s),
                  world.at(s.to_s),
                  false,
                  {}};
  // As long before, but for what happened there.
  const GnssTime before = event.from - (event.to - event.from);
  const Summary usual = records.over(kStrength, before, event.from);
  const Summary during = records.over(kStrength, event.from, event.to);
  const double slips_before = records.over(kSlips, before, event.from).sum;
  const double slips = records.over(kSlips, event.from, event.to).sum;
  event.numbers = {{"slips_before", slips_before},
                   {"slips", slips},
                   {"cn0_before_least_dbhz", usual.least},
                   {"cn0_least_dbhz", during.least}};
  // Twice as many, and by more than chance would have it.
  event.seen = slips > 2 * slips_before + 3;
  return event;
}

DemoEvent move(const DemoWorld& world, const simulate::AntennaMove& m) {
  const Enu& by = m.offset_m;
  return {DemoEventKind::kMove,
          world.at(m.at_s),
          world.at(m.at_s + m.over_s),
          false,
          {{"moved_m", std::hypot(by.e_m, by.n_m, by.u_m)}}};
}

}  // namespace

Result<std::vector<DemoEvent>> find_demo_events(const DemoWorld& world,
                                                const Minutes& minutes) {
  Records records(world, minutes);
  std::vector<DemoEvent> events;
  for (const simulate::Span& span : world.receiver().gaps) {
    events.push_back(gap(world, span, records));
  }
  for (const simulate::Jammer& one : world.scenario.jammers) {
    events.push_back(jammer(world, one, records));
  }
  for (const simulate::ScintillationSpell& one : world.scenario.scintillation) {
    events.push_back(scintillation(world, one, records));
  }
  for (const simulate::AntennaMove& one : world.receiver().moves) {
    events.push_back(move(world, one));
  }
  if (records.error()) {
    return fail(*records.error());
  }
  std::erase_if(events, [&](const auto& e) { return e.from >= world.end; });
  std::sort(events.begin(), events.end(), [](const auto& a, const auto& b) {
    return a.from < b.from;
  });
  return events;
}

Result<std::uint64_t> epochs_in_minutes(const DemoWorld& world,
                                        const Minutes& minutes) {
  Records records(world, minutes);
  const Summary all = records.over(kEpochs, world.scenario.start, world.end);
  if (records.error()) {
    return fail(*records.error());
  }
  return static_cast<std::uint64_t>(all.count);
}

}  // namespace stillpoint::app
