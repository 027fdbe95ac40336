#include "stillpoint/app/simulate_names.h"

#include <fmt/format.h>

#include "stillpoint/time/scales.h"

namespace stillpoint::app {

SimulatedNames::SimulatedNames(const SimulateArgs& args,
                               const simulate::ReceiverScenario& receiver,
                               GnssTime from,
                               GnssTime to)
    : naming_{.station = receiver.name,
              .version = args.version,
              .hatanaka = args.hatanaka,
              .gzip = args.gzip,
              .source = 'R'},
      period_{from, to},
      interval_s_(receiver.interval_s) {}

std::string SimulatedNames::observations() const {
  return intake::observation_file_name(naming_, period_, interval_s_);
}

std::string SimulatedNames::navigation(std::optional<System> only) const {
  return intake::navigation_file_name(naming_, period_, only);
}

std::string SimulatedNames::beside(const char* what) const {
  return fmt::format("{}_{}{}", naming_.station, what, packed());
}

std::string SimulatedNames::product(const char* content,
                                    std::optional<double> interval_s,
                                    const char* format) const {
  const Calendar c = to_calendar(period_.start, TimeScale::kGps);
  return fmt::format("SIM0OPSFIN_{:04}{:03}{:02}{:02}_{}_{}_{}.{}{}",
                     c.year,
                     day_of_year(c),
                     c.hour,
                     c.minute,
                     intake::period_code(period_),
                     interval_s ? intake::frequency_code(interval_s)
                                : intake::period_code(period_),
                     content,
                     format,
                     packed());
}

std::string SimulatedNames::antennas() const {
  return fmt::format("simulated.atx{}", packed());
}

}  // namespace stillpoint::app
