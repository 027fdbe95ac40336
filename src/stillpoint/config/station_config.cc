#include "stillpoint/config/station_config.h"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "stillpoint/config/cross_checks.h"
#include "stillpoint/config/misplaced_keys.h"
#include "stillpoint/config/section_reader.h"
#include "stillpoint/config/settings.h"
#include "stillpoint/core/check.h"

namespace stillpoint::config {
namespace {

constexpr std::size_t kMostText = std::size_t{64} * 1024;

toml::source_region first_place() {
  return {{1, 1}, {1, 1}, nullptr};
}

std::vector<profile::KeyRule> root_rules() {
  std::vector<profile::KeyRule> rules;
  for_each_section([&](std::string_view name, auto /*section*/) {
    rules.push_back({name, false, {}});
  });
  rules.push_back({kMountpoint, false, {}});
  return rules;
}

// Settings that must be given, of a section that is not there.
template <class S>
void say_missing(std::string_view name, Reading& reading) {
  for (const Setting<S>& setting : settings_of<S>()) {
    if (setting.required) {
      reading.mistakes->add(first_place(),
                            "no " + section_label(name) + "; needed is its " +
                                std::string(setting.key),
                            "add " + section_label(name) +
                                ", and below it a line such as " +
                                std::string(setting.example));
    }
  }
}

template <class S>
void read_single(toml::table& root,
                 std::string_view name,
                 Reading& reading,
                 S& section) {
  toml::node* node = root.get(name);
  if (node == nullptr) {
    say_missing<S>(name, reading);
  } else if (toml::table* table = node->as_table()) {
    read_section(*table, name, reading, section);
  } else {
    reading.mistakes->add(
        node->source(),
        std::string(name) + "; allowed is one table " + section_label(name),
        "write " + section_label(name) + " once, above its keys");
  }
}

void read_mountpoint(toml::table& table,
                     std::set<std::string>& names,
                     Reading& reading,
                     MountpointSection& mount) {
  reading.wrong.clear();  // each has its own; check_fit() asks for none of them
  read_section(table, kMountpoint, reading, mount);
  check_mountpoint_fit(table, mount, reading);
  const toml::node* name = table.get("name");
  if (name != nullptr && !reading.wrong.contains("mountpoint.name") &&
      !names.insert(mount.name).second) {
    reading.mistakes->add(
        name->source(),
        "name = '" + mount.name + "'; an earlier [[mountpoint]] has it",
        "give each its own name");
  }
}

void read_mountpoints(toml::table& root,
                      Reading& reading,
                      std::vector<MountpointSection>& mounts) {
  mounts.clear();
  toml::node* node = root.get(kMountpoint);
  toml::array* list = node == nullptr ? nullptr : node->as_array();
  if (node == nullptr || (list != nullptr && list->empty())) {
    reading.mistakes->add(
        node == nullptr ? first_place() : node->source(),
        "no [[mountpoint]]; needed is at least one, for rovers to ask for",
        "add [[mountpoint]], and below it a line such as name = \"LHOL\"");
    return;
  }
  if (list == nullptr || list->size() > kMostMountpoints) {
    reading.mistakes->add(node->source(),
                          "mountpoint; allowed are 1 .. " +
                              std::to_string(kMostMountpoints) +
                              " tables [[mountpoint]]",
                          "write [[mountpoint]], in double brackets, above "
                          "each");
    return;
  }
  std::set<std::string> names;
  for (toml::node& item : *list) {
    if (toml::table* table = item.as_table()) {
      read_mountpoint(*table, names, reading, mounts.emplace_back());
    } else {
      reading.mistakes->add(
          item.source(),
          "mountpoint; allowed are only tables in this list",
          "write [[mountpoint]], in double brackets, above each");
    }
  }
}

}  // namespace

bool console_uses_tls(const ConsoleSection& console) {
  return !console.certificate.empty() ||
         (console.listen && !stays_private(*console.listen));
}

bool is_source(std::string_view entry) {
  const std::size_t colon = entry.find(':');
  return entry == "-" ||
         (colon != std::string_view::npos && colon < entry.find('/'));
}

Result<StationConfig> parse_station_config(std::string_view toml,
                                           std::string_view name,
                                           const SourceCheck& check_source) {
  STILLPOINT_CHECK(check_source);
  profile::Mistakes mistakes(name);
  if (toml.size() > kMostText) {
    mistakes.add(first_place(),
                 std::to_string(toml.size()) +
                     " bytes; a station.toml has at most " +
                     std::to_string(kMostText),
                 "give the file that describes a station");
    return fail(mistakes.error());
  }
  toml::parse_result parsed = toml::parse(toml, name);
  if (!parsed) {
    const toml::parse_error& error = parsed.error();
    mistakes.add(error.source(),
                 std::string(error.description()),
                 "correct this place; the shipped station.toml shows every key "
                 "as it is written");
    return fail(mistakes.error());
  }
  toml::table& root = parsed.table();
  Reading reading{&check_source, &mistakes};
  take_misplaced_keys(root, "", mistakes);
  const std::vector<profile::KeyRule> rules = root_rules();
  const profile::TableReader reader(root, section_label(""), rules, mistakes);
  StationConfig config;
  read_mountpoints(root, reading, config.mountpoints);
  for_each_section([&](std::string_view section, auto member) {
    read_single(root, section, reading, config.*member);
  });
  check_fit(root, config, reading);
  if (mistakes.count() > 0) {
    return fail(mistakes.error());
  }
  return config;
}

std::string mistake_lines(const Error& error) {
  std::string lines = error.text();
  lines.insert(std::min(lines.find('\n'), lines.size()), "; " + error.remedy);
  return lines + "\n";
}

}  // namespace stillpoint::config
