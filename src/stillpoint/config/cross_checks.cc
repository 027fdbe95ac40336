#include "stillpoint/config/cross_checks.h"

#include <algorithm>
#include <set>
#include <string>
#include <vector>

namespace stillpoint::config {
namespace {

const toml::node* find(const toml::table& root,
                       std::string_view section,
                       std::string_view key) {
  const toml::node* node = root.get(section);
  const toml::table* table = node == nullptr ? nullptr : node->as_table();
  return table == nullptr ? nullptr : table->get(key);
}

bool is_wrong(const Reading& reading,
              std::string_view section,
              std::string_view key) {
  return reading.wrong.contains(std::string(section) + "." + std::string(key));
}

struct Port {
  std::string_view section, key;
  unsigned port;  // 0: none
};

unsigned port_of(const std::optional<ListenAddress>& listen) {
  return listen ? listen->port : 0U;
}

// Whatever their addresses: 0.0.0.0 takes the port of each of them. The
// defaults differ, so that at least one of two stands in the file.
void check_ports(const toml::table& root,
                 const StationConfig& config,
                 Reading& reading) {
  std::vector<Port> ports = {
      {"receiver",
       "pass_through",
       pass_through_port(config.receiver.pass_through)},
      {"rovers", "listen", port_of(config.rovers.listen)},
      {"rovers", "tls_listen", port_of(config.rovers.tls_listen)},
      {"console", "listen", port_of(config.console.listen)},
      {"health", "listen", port_of(config.health.listen)},
  };
  std::erase_if(ports, [&](const Port& p) {
    return p.port == 0 || is_wrong(reading, p.section, p.key);
  });
  for (auto late = ports.begin(); late != ports.end(); ++late) {
    const auto early = std::find_if(ports.begin(), late, [&](const Port& p) {
      return p.port == late->port;
    });
    if (early == late) {
      continue;
    }
    const bool late_stands = find(root, late->section, late->key) != nullptr;
    const Port& said = late_stands ? *late : *early;
    const Port& other = late_stands ? *early : *late;
    reading.mistakes->add(find(root, said.section, said.key)->source(),
                          std::string(said.key) + ": port " +
                              std::to_string(said.port) + " is taken by " +
                              std::string(other.key) + " of " +
                              section_label(other.section),
                          "give each its own port");
  }
}

// A certificate needs its key and a port that shows it.
void check_certificate(const toml::table& root,
                       std::string_view section,
                       const std::string& certificate,
                       const std::string& key,
                       std::string_view listen_key,
                       bool listens,
                       Reading& reading) {
  if (is_wrong(reading, section, "certificate") ||
      is_wrong(reading, section, "key") ||
      (certificate.empty() && key.empty())) {
    return;
  }
  const std::string_view given = certificate.empty() ? "key" : "certificate";
  const std::string_view missing = certificate.empty() ? "certificate" : "key";
  const toml::source_region& place = find(root, section, given)->source();
  if (certificate.empty() || key.empty()) {
    reading.mistakes->add(
        place,
        std::string(given) + " without " + std::string(missing),
        "add " + std::string(missing) + " = \"/path\" beside it");
  } else if (!listens && !is_wrong(reading, section, listen_key)) {
    const std::string name(listen_key);
    reading.mistakes->add(place,
                          "certificate; without " + name + " no port shows it",
                          "add " + name + ", or leave certificate and key out");
  }
}

// One stream read twice gives each reader a part of it.
void check_sources(const toml::table& root,
                   const StationConfig& config,
                   Reading& reading) {
  if (is_wrong(reading, "receiver", "nav_sources")) {
    return;
  }
  const toml::node* node = find(root, "receiver", "nav_sources");
  std::set<std::string> seen = {config.receiver.source};
  for (std::size_t i = 0; i < config.receiver.nav_sources.size(); ++i) {
    const std::string& entry = config.receiver.nav_sources[i];
    if (!seen.insert(entry).second) {
      reading.mistakes->add(
          node->as_array()->get(i)->source(),
          entry == config.receiver.source
              ? "nav_sources: this is the receiver's own source"
              : "nav_sources: an earlier entry is the same",
          "leave it out; ephemerides that the receiver sends are used anyway");
    }
  }
}

// Nobody is asked whom the owner has not named.
void check_fetch(const toml::table& root,
                 const StationConfig& config,
                 Reading& reading) {
  if (config.solve.fetch && config.solve.archives.empty() &&
      !is_wrong(reading, "solve", "archives")) {
    reading.mistakes->add(
        find(root, "solve", "fetch")->source(),
        "fetch = true; without archives nobody can be asked",
        "add archives = \"/path\", a list like examples/archives.toml, or "
        "leave fetch out");
  }
}

}  // namespace

void check_fit(const toml::table& root,
               const StationConfig& config,
               Reading& reading) {
  check_ports(root, config, reading);
  check_certificate(root,
                    "rovers",
                    config.rovers.certificate,
                    config.rovers.key,
                    "tls_listen",
                    config.rovers.tls_listen.has_value(),
                    reading);
  check_certificate(root,
                    "console",
                    config.console.certificate,
                    config.console.key,
                    "listen",
                    config.console.listen.has_value(),
                    reading);
  check_sources(root, config, reading);
  check_fetch(root, config, reading);
}

void check_mountpoint_fit(const toml::table& table,
                          const MountpointSection& mount,
                          Reading& reading) {
  if (mount.latitude_deg.has_value() == mount.longitude_deg.has_value()) {
    return;
  }
  const bool north = mount.latitude_deg.has_value();
  const std::string given = north ? "latitude_deg" : "longitude_deg";
  const std::string missing = north ? "longitude_deg" : "latitude_deg";
  if (table.get(missing) != nullptr) {
    return;  // there, but wrong: said already
  }
  reading.mistakes->add(table.get(given)->source(),
                        given + " without " + missing,
                        "add " + missing +
                            ", or leave both out: then the "
                            "broadcast coordinate counts");
}

}  // namespace stillpoint::config
