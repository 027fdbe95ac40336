// What stands at the site, and what is kept of it.
#include "stillpoint/config/setting_values.h"

namespace stillpoint::config {

template <>
std::span<const Setting<StationSection>> settings_of() {
  using S = StationSection;
  static const std::array<Setting<S>, 5> list = {{
      {.key = "name",
       .example = "name = \"LHOL00XXX\"",
       .effect = kLater,
       .value = text(&S::name, kStationName),
       .required = true},
      {.key = "state",
       .example = "state = \"/var/lib/stillpoint\"",
       .effect = kLater,
       .value = text(&S::state, kFolder)},
      {.key = "marker_number",
       .example = "marker_number = \"LHOL-1\"",
       .effect = kNow,
       .value = text(&S::marker_number, kHeaderText20)},
      {.key = "observer",
       .example = "observer = \"growers\"",
       .effect = kNow,
       .value = text(&S::observer, kHeaderText20)},
      {.key = "agency",
       .example = "agency = \"Larch Hollow Growers\"",
       .effect = kNow,
       .value = text(&S::agency, kHeaderText40)},
  }};
  return list;
}

template <>
std::span<const Setting<ReceiverSection>> settings_of() {
  using S = ReceiverSection;
  static const std::array<Setting<S>, 8> list = {{
      {.key = "source",
       .example = "source = \"serial:/dev/ttyACM0?baud=115200\"",
       .effect = kLater,
       .value = SourceValue<S>{&S::source}},
      {.key = "profile",
       .example = "profile = \"nmea-text\"",
       .effect = kLater,
       .value = text(&S::profile, kProfile)},
      {.key = "nav_sources",
       .example = "nav_sources = [\"tcp://192.168.1.9:5000\"]",
       .effect = kLater,
       .value = SourcesValue<S>{&S::nav_sources}},
      {.key = "pass_through",
       .example = "pass_through = \"tcp:5001\"",
       .effect = kLater,
       .value = text(&S::pass_through, kPassThrough)},
      {.key = "silence_s",
       .example = "silence_s = 10",
       .unit = "seconds",
       .effect = kNow,
       .value = whole(&S::silence_s, 1, 3600)},
      {.key = "type",
       .example = "type = \"SPDEMO-R1\"",
       .effect = kNow,
       .value = text(&S::type, kHeaderText20)},
      {.key = "serial",
       .example = "serial = \"0001\"",
       .effect = kNow,
       .value = text(&S::serial, kHeaderText20)},
      {.key = "firmware",
       .example = "firmware = \"1.0\"",
       .effect = kNow,
       .value = text(&S::firmware, kHeaderText20)},
  }};
  return list;
}

template <>
std::span<const Setting<AntennaSection>> settings_of() {
  using S = AntennaSection;
  static const std::array<Setting<S>, 5> list = {{
      {.key = "type",
       .example = "type = \"SPDEMO-A1 NONE\"",
       .effect = kNow,
       .value = text(&S::type, kHeaderText20)},
      {.key = "serial",
       .example = "serial = \"0001\"",
       .effect = kNow,
       .value = text(&S::serial, kHeaderText20)},
      {.key = "height_m",
       .example = "height_m = 0.1234",
       .unit = "metres",
       .effect = kNow,
       .value = metres(&S::height_m, -10, 100)},
      {.key = "east_m",
       .example = "east_m = 0.0",
       .unit = "metres",
       .effect = kNow,
       .value = metres(&S::east_m, -100, 100)},
      {.key = "north_m",
       .example = "north_m = 0.0",
       .unit = "metres",
       .effect = kNow,
       .value = metres(&S::north_m, -100, 100)},
  }};
  return list;
}

template <>
std::span<const Setting<ArchiveSection>> settings_of() {
  using S = ArchiveSection;
  static const std::array<Setting<S>, 5> list = {{
      {.key = "commit_s",
       .example = "commit_s = 5",
       .unit = "seconds",
       .effect = kNow,
       .value = whole(&S::commit_s, 1, 10)},
      {.key = "keep_days",
       .example = "keep_days = 400",
       .unit = "days",
       .effect = kNow,
       .value = whole(&S::keep_days, 0, 36'500)},
      {.key = "keep_mb",
       .example = "keep_mb = 20000",
       .unit = "MB",
       .effect = kNow,
       .value = whole(&S::keep_mb, 0, 100'000'000)},
      {.key = "leave_free_mb",
       .example = "leave_free_mb = 512",
       .unit = "MB",
       .effect = kNow,
       .value = whole(&S::leave_free_mb, 64, 100'000'000)},
      {.key = "compression",
       .example = "compression = 3",
       .unit = "zstd level",
       .effect = kNow,
       .value = whole(&S::compression, 1, 19)},
  }};
  return list;
}

}  // namespace stillpoint::config
