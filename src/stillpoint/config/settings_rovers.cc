// Whom the station serves, and with what.
#include "stillpoint/config/setting_values.h"

namespace stillpoint::config {
namespace {

// In the order of its enum.
constexpr std::array<std::string_view, 2> kWithholds = {"position", "all"};

}  // namespace

template <>
std::span<const Setting<RoversSection>> settings_of() {
  using S = RoversSection;
  static const std::array<Setting<S>, 12> list = {{
      {.key = "listen",
       .example = "listen = \"0.0.0.0:2101\"",
       .effect = kLater,
       .value = listen(&S::listen)},
      {.key = "tls_listen",
       .example = "tls_listen = \"0.0.0.0:2102\"",
       .effect = kLater,
       .value = listen(&S::tls_listen)},
      {.key = "certificate",
       .example = "certificate = \"/etc/stillpoint/rovers.pem\"",
       .effect = kLater,
       .value = text(&S::certificate, kFileOrEmpty)},
      {.key = "key",
       .example = "key = \"/etc/stillpoint/rovers.key\"",
       .effect = kLater,
       .value = text(&S::key, kFileOrEmpty)},
      {.key = "most",
       .example = "most = 1000",
       .unit = "rovers",
       .effect = kNow,
       .value = whole(&S::most, 1, 100'000)},
      {.key = "most_per_address",
       .example = "most_per_address = 100",
       .unit = "rovers",
       .effect = kNow,
       .value = whole(&S::most_per_address, 1, 100'000)},
      {.key = "lag_kb",
       .example = "lag_kb = 256",
       .unit = "kB",
       .effect = kNow,
       .value = whole(&S::lag_kb, 16, 16'384)},
      {.key = "lag_s",
       .example = "lag_s = 15",
       .unit = "seconds",
       .effect = kNow,
       .value = whole(&S::lag_s, 1, 600)},
      {.key = "write_deadline_s",
       .example = "write_deadline_s = 10",
       .unit = "seconds",
       .effect = kNow,
       .value = whole(&S::write_deadline_s, 1, 600)},
      {.key = "request_deadline_s",
       .example = "request_deadline_s = 10",
       .unit = "seconds",
       .effect = kNow,
       .value = whole(&S::request_deadline_s, 1, 60)},
      {.key = "drop",
       .example = "drop = \"1033 1230\"",
       .effect = kLater,
       .value = text(&S::drop, kMessageTypes)},
      {.key = "station_id",
       .example = "station_id = \"17\"",
       .effect = kLater,
       .value = text(&S::station_id, kStationId)},
  }};
  return list;
}

template <>
std::span<const Setting<MountpointSection>> settings_of() {
  using S = MountpointSection;
  static const std::array<Setting<S>, 8> list = {{
      {.key = "name",
       .example = "name = \"LHOL\"",
       .effect = kLater,
       .value = text(&S::name, kMountName),
       .required = true},
      {.key = "identifier",
       .example = "identifier = \"Larch Hollow\"",
       .effect = kNow,
       .value = text(&S::identifier, kTableField)},
      {.key = "country",
       .example = "country = \"XXX\"",
       .effect = kNow,
       .value = text(&S::country, kCountry)},
      {.key = "network",
       .example = "network = \"Larch Hollow Growers\"",
       .effect = kNow,
       .value = text(&S::network, kTableField)},
      {.key = "latitude_deg",
       .example = "latitude_deg = 47.3",
       .unit = "degrees",
       .effect = kNow,
       .value = degrees(&S::latitude_deg, 90)},
      {.key = "longitude_deg",
       .example = "longitude_deg = 8.9",
       .unit = "degrees",
       .effect = kNow,
       .value = degrees(&S::longitude_deg, 180)},
      {.key = "open",
       .example = "open = false",
       .effect = kNow,
       .value = YesNoValue<S>{&S::open}},
      {.key = "most",
       .example = "most = 20",
       .unit = "rovers",
       .effect = kNow,
       .value = whole(&S::most, 0, 100'000)},
  }};
  return list;
}

template <>
std::span<const Setting<TrustSection>> settings_of() {
  using S = TrustSection;
  static const std::array<Setting<S>, 2> list = {{
      {.key = "provisional",
       .example = "provisional = false",
       .effect = kNow,
       .value = YesNoValue<S>{&S::provisional}},
      {.key = "withhold",
       .example = "withhold = \"position\"",
       .effect = kNow,
       .value = words<S, &S::withhold>(kWithholds)},
  }};
  return list;
}

}  // namespace stillpoint::config
