#include "stillpoint/config/station_changes.h"

#include <algorithm>
#include <utility>

#include "stillpoint/config/settings.h"

namespace stillpoint::config {
namespace {

template <class S>
void compare_section(const std::string& name,
                     const S& before,
                     const S& after,
                     std::vector<Change>& changes) {
  for (const Setting<S>& setting : settings_of<S>()) {
    Change change{name + "." + std::string(setting.key),
                  value_text(setting, before),
                  value_text(setting, after),
                  setting.effect};
    if (change.before != change.after) {
      changes.push_back(std::move(change));
    }
  }
}

template <class S>
void take_at_once(const S& from, S& to) {
  for (const Setting<S>& setting : settings_of<S>()) {
    if (setting.effect == Effect::kAtOnce) {
      copy_value(setting, from, to);
    }
  }
}

const MountpointSection* find(const StationConfig& config,
                              const std::string& name) {
  const auto found =
      std::find_if(config.mountpoints.begin(),
                   config.mountpoints.end(),
                   [&](const auto& mount) { return mount.name == name; });
  return found == config.mountpoints.end() ? nullptr : &*found;
}

void compare_mountpoints(const StationConfig& before,
                         const StationConfig& after,
                         std::vector<Change>& changes) {
  for (const MountpointSection& old : before.mountpoints) {
    const std::string name = std::string(kMountpoint) + "." + old.name;
    if (const MountpointSection* now = find(after, old.name)) {
      compare_section(name, old, *now, changes);
    } else {
      changes.push_back({name,
                         toml_text(old.name),
                         std::string(kNoValue),
                         Effect::kAfterRestart});
    }
  }
  for (const MountpointSection& now : after.mountpoints) {
    if (find(before, now.name) == nullptr) {
      changes.push_back({std::string(kMountpoint) + "." + now.name,
                         std::string(kNoValue),
                         toml_text(now.name),
                         Effect::kAfterRestart});
    }
  }
}

}  // namespace

std::string_view effect_text(Effect effect) {
  return effect == Effect::kAtOnce ? "takes effect at once"
                                   : "takes effect after a restart";
}

std::string Change::text() const {
  return setting + ": " + before + " -> " + after + ", " +
         std::string(effect_text(effect));
}

std::vector<Change> compare(const StationConfig& before,
                            const StationConfig& after) {
  std::vector<Change> changes;
  for_each_section([&](std::string_view name, auto section) {
    compare_section(
        std::string(name), before.*section, after.*section, changes);
  });
  compare_mountpoints(before, after, changes);
  return changes;
}

Result<Reload> reload_station_config(const StationConfig& running,
                                     std::string_view toml,
                                     std::string_view name,
                                     const SourceCheck& check_source) {
  const auto read = parse_station_config(toml, name, check_source);
  if (!read) {
    return fail(read.error());
  }
  Reload reload{running, compare(running, *read)};
  for_each_section([&](std::string_view /*name*/, auto section) {
    take_at_once((*read).*section, reload.config.*section);
  });
  for (MountpointSection& mount : reload.config.mountpoints) {
    if (const MountpointSection* now = find(*read, mount.name)) {
      take_at_once(*now, mount);
    }
  }
  return reload;
}

}  // namespace stillpoint::config
