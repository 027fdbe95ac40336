#include "stillpoint/config/settings.h"

#include <charconv>
#include <type_traits>

namespace stillpoint::config {
namespace {

constexpr Effect kNow = Effect::kAtOnce;
constexpr Effect kLater = Effect::kAfterRestart;

// In the order of their enums.
constexpr std::array<std::string_view, 2> kWithholds = {"position", "all"};
constexpr std::array<std::string_view, 4> kLevels = {
    "debug", "info", "warning", "error"};
constexpr std::array<std::string_view, 2> kFormats = {"text", "json"};

template <class S, auto kMember>
WordValue<S> words(std::span<const std::string_view> all) {
  return {all,
          [](const S& s) { return static_cast<std::size_t>(s.*kMember); },
          [](S& s, std::size_t number) {
            using Enum = std::remove_reference_t<decltype(s.*kMember)>;
            s.*kMember = static_cast<Enum>(number);
          }};
}

template <class S>
TextValue<S> text(std::string S::*at, const TextRule& rule) {
  return {at, &rule};
}
template <class S>
WholeValue<S> whole(std::uint32_t S::*at,
                    std::uint32_t least,
                    std::uint32_t most) {
  return {at, least, most};
}
template <class S>
NumberValue<S> degrees(std::optional<double> S::*at, int most) {
  return {at, -most, most};
}
template <class S>
NumberValue<S> metres(std::optional<double> S::*at, int least, int most) {
  return {at, least, most};
}
template <class S>
ListenValue<S> listen(std::optional<ListenAddress> S::*at) {
  return {at};
}

}  // namespace

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

std::string toml_text(std::string_view text) {
  std::string result = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      result += '\\';
    }
    result += c;
  }
  return result + "\"";
}

std::string toml_list(const std::vector<std::string>& texts) {
  std::string result;
  for (const std::string& text : texts) {
    result += (result.empty() ? "" : ", ") + toml_text(text);
  }
  return "[" + result + "]";
}

std::string toml_list(std::span<const std::string_view> words) {
  std::string result;
  for (const std::string_view word : words) {
    result += (result.empty() ? "" : ", ") + toml_text(word);
  }
  return result;
}

std::string toml_number(double number) {
  std::array<char, 32> text{};
  // Enough for the shortest form of every double.
  const auto [end, problem] =
      std::to_chars(text.data(), text.data() + text.size(), number);
  return {text.data(), end};
}

}  // namespace stillpoint::config
