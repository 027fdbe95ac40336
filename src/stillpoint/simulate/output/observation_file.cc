#include "stillpoint/simulate/output/observation_file.h"

#include <cmath>

#include "stillpoint/simulate/sky/precise_products.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

void add_columns(SignalCode signal, std::vector<rinex::Column>& columns) {
  using rinex::Kind;
  const std::pair<char, Kind> kinds[] = {{'C', Kind::kCode},
                                         {'L', Kind::kPhase},
                                         {'D', Kind::kDoppler},
                                         {'S', Kind::kStrength}};
  for (const auto& [letter, kind] : kinds) {
    columns.push_back({letter + signal.text(), kind, signal});
  }
}

// As somebody would know it beforehand: to some metres.
Ecef rough(const Ecef& p) {
  return {std::round(p.x_m / 5) * 5,
          std::round(p.y_m / 5) * 5,
          std::round(p.z_m / 5) * 5};
}

}  // namespace

rinex::ObservationHeader observation_header(const Sky& sky,
                                            const ReceiverScenario& receiver,
                                            GnssTime first,
                                            GnssTime last) {
  rinex::ObservationHeader h;
  h.program = "stillpoint simulate";
  h.comments = {kSimulatedNote};
  h.marker_name = receiver.name;
  h.marker_type = receiver.waypoints.empty() ? "GEODETIC" : "GROUND_CRAFT";
  h.observer = "SIMULATED";
  h.agency = "SIMULATED";
  h.receiver_serial = receiver.receiver_serial;
  h.receiver_type = receiver.receiver_type;
  h.receiver_version = receiver.firmware;
  h.antenna_serial = receiver.antenna_serial;
  h.antenna_type = receiver.antenna;
  h.approx_position_m = rough(to_ecef(receiver.marker));
  h.antenna_delta_enu_m = {receiver.antenna_east_m,
                           receiver.antenna_north_m,
                           receiver.antenna_height_m};
  h.interval_s = receiver.interval_s;
  h.first_obs = first;
  h.last_obs = last;
  h.leap_seconds = gps_minus_utc_s(first);
  for (const System system : kSystems) {
    const auto i = static_cast<std::size_t>(system);
    bool sent = false;
    for (const Satellite& s : sky.satellites()) {
      sent = sent || s.sat.system == system;
    }
    for (const SignalCode signal : receiver.signals[i]) {
      if (sent) {
        add_columns(signal, h.columns[i]);
      }
    }
  }
  for (const Satellite& s : sky.satellites()) {
    if (s.channel) {
      h.glonass_channels[s.sat] = *s.channel;
    }
  }
  for (const SignalCode signal :
       receiver.signals[static_cast<std::size_t>(System::kGlonass)]) {
    h.glonass_bias_m[signal] = 0;
  }
  return h;
}

}  // namespace stillpoint::simulate
