#include "stillpoint/api/station_table.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>

namespace stillpoint::api {
namespace {

struct Place {
  std::optional<double> latitude_deg, longitude_deg;
};

// Never -0.
double rounded_deg(double rad) {
  constexpr double kPerDegree = 100;
  const double steps = std::round(rad * 180 / std::numbers::pi * kPerDegree);
  return steps == 0 ? 0.0 : steps / kPerDegree;
}

Place place_of(const std::optional<Ecef>& broadcast_m) {
  constexpr double kDeepestM = 6.3e6;  // zeros stand for "not set"
  if (!broadcast_m || !(norm(*broadcast_m) > kDeepestM)) {
    return {};
  }
  const Geodetic place = to_geodetic(*broadcast_m);
  return {rounded_deg(place.lat_rad), rounded_deg(place.lon_rad)};
}

std::string country_of(const config::StationConfig& config,
                       const config::MountpointSection& mount) {
  constexpr std::size_t kCountryAt = 6;  // of "LHOL00XXX"
  const std::string& name = config.station.name;
  return mount.country.empty() && name.size() > kCountryAt
             ? name.substr(kCountryAt)
             : mount.country;
}

const char* login_of(const config::MountpointSection& mount) {
  return mount.open ? "N" : "B";
}

ntrip::StreamRecord stream_of(const config::StationConfig& config,
                              const config::MountpointSection& mount,
                              const StreamFacts& facts,
                              bool adopted) {
  const bool own_place = mount.latitude_deg && mount.longitude_deg;
  const Place place = own_place ? Place{mount.latitude_deg, mount.longitude_deg}
                                : place_of(facts.broadcast_m);
  ntrip::StreamRecord record;
  record.mountpoint = mount.name;
  record.identifier =
      mount.identifier.empty() ? config.station.name : mount.identifier;
  record.format = "RTCM 3";
  record.format_details = facts.messages;
  record.carrier = facts.carrier;
  record.nav_system = facts.nav_system;
  record.network = mount.network;
  record.country = country_of(config, mount);
  record.latitude_deg = place.latitude_deg;
  record.longitude_deg = place.longitude_deg;
  record.wants_gga = false;
  record.solution = 0;
  record.generator = "Stillpoint";
  record.compression = "none";
  record.authentication = login_of(mount);
  record.fee = "N";
  if (facts.bits_per_second && *facts.bits_per_second >= 0 &&
      *facts.bits_per_second < std::numeric_limits<int>::max()) {
    record.bitrate = static_cast<int>(std::lround(*facts.bits_per_second));
  }
  record.misc = config.trust.provisional && !adopted ? "provisional" : "none";
  return record;
}

// 127/8 and ::1 lead nowhere for who reads the table; neither do wildcards.
bool leads_here(const config::ListenAddress& address) {
  return address.host != "0.0.0.0" && address.host != "::" &&
         address.host != "::1" && !address.host.starts_with("127.");
}

ntrip::CasterRecord caster_of(const config::StationConfig& config,
                              const config::ListenAddress& address) {
  ntrip::CasterRecord record;
  record.host = address.host;
  record.port = address.port;
  record.identifier = config.station.name;
  record.operated_by = config.mountpoints.front().network;
  record.takes_gga = false;
  record.country = country_of(config, config.mountpoints.front());
  record.misc = "none";
  return record;
}

// "N" only where every stream of the network is open.
ntrip::NetworkRecord network_of(const config::StationConfig& config,
                                const std::string& name) {
  ntrip::NetworkRecord record;
  record.identifier = record.operated_by = name;
  record.authentication = "N";
  for (const config::MountpointSection& mount : config.mountpoints) {
    if (mount.network == name && !mount.open) {
      record.authentication = "B";
    }
  }
  record.fee = "N";
  record.web_network = record.web_stream = record.web_register = record.misc =
      "none";
  return record;
}

}  // namespace

ntrip::Sourcetable station_table(const config::StationConfig& config,
                                 const StreamFacts& facts,
                                 bool adopted) {
  ntrip::Sourcetable table;
  table.complete = true;
  const auto& listen = config.rovers.listen;
  if (listen && leads_here(*listen) && !config.mountpoints.empty()) {
    table.records.emplace_back(caster_of(config, *listen));
  }
  std::set<std::string> networks;
  for (const config::MountpointSection& mount : config.mountpoints) {
    if (!mount.network.empty() && networks.insert(mount.network).second) {
      table.records.emplace_back(network_of(config, mount.network));
    }
  }
  for (const config::MountpointSection& mount : config.mountpoints) {
    table.records.emplace_back(stream_of(config, mount, facts, adopted));
  }
  return table;
}

}  // namespace stillpoint::api
