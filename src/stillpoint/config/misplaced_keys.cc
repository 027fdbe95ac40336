#include "stillpoint/config/misplaced_keys.h"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>
#include <vector>

#include "stillpoint/config/settings.h"

namespace stillpoint::config {
namespace {

struct Home {
  std::string_view section, key;
};

template <class S>
void add_keys(std::string_view section, std::vector<Home>& homes) {
  homes.push_back({"", section});
  for (const Setting<S>& setting : settings_of<S>()) {
    homes.push_back({section, setting.key});
  }
}

template <class S>
void add_keys_of(S StationConfig::* /*member*/,
                 std::string_view section,
                 std::vector<Home>& homes) {
  add_keys<S>(section, homes);
}

const std::vector<Home>& all_keys() {
  static const std::vector<Home> all = [] {
    std::vector<Home> homes;
    for_each_section([&](std::string_view section, auto member) {
      add_keys_of(member, section, homes);
    });
    add_keys<MountpointSection>(kMountpoint, homes);
    return homes;
  }();
  return all;
}

// The part of a key that speaks of a secret or of whom it lets in.
std::optional<std::string_view> secret_word(std::string_view key) {
  constexpr std::array<std::string_view, 11> kWords = {"password",
                                                       "passphrase",
                                                       "passwd",
                                                       "passcode",
                                                       "pwd",
                                                       "secret",
                                                       "token",
                                                       "credential",
                                                       "login",
                                                       "user",
                                                       "people"};
  std::string lower(key);
  for (char& c : lower) {
    if (c >= 'A' && c <= 'Z') {
      c = static_cast<char>(c - 'A' + 'a');
    }
  }
  for (const std::string_view word : kWords) {
    if (lower.find(word) != std::string::npos) {
      return word;
    }
  }
  return std::nullopt;
}

std::string_view where_secrets_belong(std::string_view section,
                                      std::string_view word) {
  if (word == "passphrase") {
    return "give a key file without a passphrase that only the service can "
           "read";
  }
  if (section == "receiver") {
    return "name the user, and a file with the password in it, in the source: "
           "ntrip://user@host:2101/MOUNT?password_file=/path";
  }
  return "make rovers and people, and their passwords, in the console; the "
         "state folder keeps them, passwords as hashes only";
}

// Nothing for a key that belongs here or nowhere.
std::string other_homes(std::string_view section, std::string_view key) {
  std::string result;
  for (const Home& home : all_keys()) {
    if (home.key != key) {
      continue;
    }
    if (home.section == section) {
      return {};
    }
    if (!home.section.empty()) {
      result += (result.empty() ? "" : " or ") + section_label(home.section);
    }
  }
  return result;
}

}  // namespace

std::string section_label(std::string_view section) {
  if (section.empty()) {
    return "station.toml";
  }
  const std::string label = "[" + std::string(section) + "]";
  return section == kMountpoint ? "[" + label + "]" : label;
}

void take_misplaced_keys(toml::table& table,
                         std::string_view section,
                         profile::Mistakes& mistakes) {
  std::vector<std::string> taken;
  for (const auto& [key, node] : table) {
    const std::string homes = other_homes(section, key.str());
    if (!homes.empty()) {
      std::string what = "key '" + std::string(key.str()) + "' ";
      what += section.empty() ? "above all sections"
                              : "in " + section_label(section);
      what += "; it belongs in " + homes;
      mistakes.add(key.source(), std::move(what), "move it there");
      taken.emplace_back(key.str());
    } else if (const auto word = secret_word(key.str())) {
      mistakes.add(key.source(),
                   "a key with '" + std::string(*word) +
                       "' in its name; no secret, and nobody's name, "
                       "stands in station.toml",
                   std::string(where_secrets_belong(section, *word)));
      taken.emplace_back(key.str());
    }
  }
  for (const std::string& key : taken) {
    table.erase(key);
  }
}

}  // namespace stillpoint::config
