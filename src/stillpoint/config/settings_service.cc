// What the station does by itself, and who may look at it.
#include "stillpoint/config/setting_values.h"

namespace stillpoint::config {
namespace {

// In the order of their enums.
constexpr std::array<std::string_view, 4> kLevels = {
    "debug", "info", "warning", "error"};
constexpr std::array<std::string_view, 2> kFormats = {"text", "json"};

}  // namespace

template <>
std::span<const Setting<SolveSection>> settings_of() {
  using S = SolveSection;
  static const std::array<Setting<S>, 10> list = {{
      {.key = "growth",
       .example = "growth = true",
       .effect = kNow,
       .value = YesNoValue<S>{&S::growth}},
      {.key = "day",
       .example = "day = true",
       .effect = kNow,
       .value = YesNoValue<S>{&S::day}},
      {.key = "products",
       .example = "products = \"/srv/products\"",
       .effect = kNow,
       .value = text(&S::products, kFileOrEmpty)},
      {.key = "fetch",
       .example = "fetch = false",
       .effect = kNow,
       .value = YesNoValue<S>{&S::fetch}},
      {.key = "archives",
       .example = "archives = \"/etc/stillpoint/archives.toml\"",
       .effect = kNow,
       .value = text(&S::archives, kFileOrEmpty)},
      {.key = "antennas",
       .example = "antennas = \"/srv/products/antennas.atx\"",
       .effect = kNow,
       .value = text(&S::antennas, kFileOrEmpty)},
      {.key = "loading",
       .example = "loading = \"/srv/products/station.blq\"",
       .effect = kNow,
       .value = text(&S::loading, kFileOrEmpty)},
      {.key = "earth",
       .example = "earth = \"/srv/products/rotation.erp\"",
       .effect = kNow,
       .value = text(&S::earth, kFileOrEmpty)},
      {.key = "memory_mb",
       .example = "memory_mb = 300",
       .unit = "MB",
       .effect = kNow,
       .value = whole(&S::memory_mb, 64, 1'000'000)},
      {.key = "longest_min",
       .example = "longest_min = 60",
       .unit = "minutes",
       .effect = kNow,
       .value = whole(&S::longest_min, 1, 1440)},
  }};
  return list;
}

template <>
std::span<const Setting<ConsoleSection>> settings_of() {
  using S = ConsoleSection;
  static const std::array<Setting<S>, 3> list = {{
      {.key = "listen",
       .example = "listen = \"127.0.0.1:8080\"",
       .effect = kLater,
       .value = listen(&S::listen)},
      {.key = "certificate",
       .example = "certificate = \"/etc/stillpoint/console.pem\"",
       .effect = kLater,
       .value = text(&S::certificate, kFileOrEmpty)},
      {.key = "key",
       .example = "key = \"/etc/stillpoint/console.key\"",
       .effect = kLater,
       .value = text(&S::key, kFileOrEmpty)},
  }};
  return list;
}

template <>
std::span<const Setting<HealthSection>> settings_of() {
  using S = HealthSection;
  static const std::array<Setting<S>, 1> list = {{
      {.key = "listen",
       .example = "listen = \"127.0.0.1:9101\"",
       .effect = kLater,
       .value = listen(&S::listen)},
  }};
  return list;
}

template <>
std::span<const Setting<LogSection>> settings_of() {
  using S = LogSection;
  static const std::array<Setting<S>, 2> list = {{
      {.key = "level",
       .example = "level = \"info\"",
       .effect = kNow,
       .value = words<S, &S::level>(kLevels)},
      {.key = "format",
       .example = "format = \"text\"",
       .effect = kNow,
       .value = words<S, &S::format>(kFormats)},
  }};
  return list;
}

}  // namespace stillpoint::config
