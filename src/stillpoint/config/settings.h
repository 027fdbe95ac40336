// The one list of all settings of station.toml. The parser, the comparison of
// two files, and the tests of the shipped file and the docs page walk it.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "stillpoint/config/station_changes.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/config/text_rules.h"

namespace stillpoint::config {

// What kind of value a setting of section S has, and where it is kept.
template <class S>
struct TextValue {
  std::string S::*at;
  const TextRule* rule;
};
template <class S>
struct WholeValue {
  std::uint32_t S::*at;
  std::uint32_t least, most;
};
template <class S>
struct YesNoValue {
  bool S::*at;
};
template <class S>
struct NumberValue {
  std::optional<double> S::*at;
  int least, most;
};
template <class S>
struct ListenValue {
  std::optional<ListenAddress> S::*at;
};
template <class S>
struct WordValue {
  std::span<const std::string_view> words;
  std::size_t (*get)(const S&);
  void (*set)(S&, std::size_t);
};
template <class S>
struct SourceValue {
  std::string S::*at;
};
template <class S>
struct SourcesValue {
  std::vector<std::string> S::*at;
};

inline constexpr std::size_t kMostNavSources = 8;
inline constexpr std::size_t kMostMountpoints = 64;

template <class S>
struct Setting {
  std::string_view key, example;  // `example` is a whole line
  std::string_view unit = {};     // empty where there is none
  Effect effect = Effect::kAfterRestart;
  std::variant<TextValue<S>,
               WholeValue<S>,
               YesNoValue<S>,
               NumberValue<S>,
               ListenValue<S>,
               WordValue<S>,
               SourceValue<S>,
               SourcesValue<S>>
      value;
  bool required = false;
};

template <class S>
std::span<const Setting<S>> settings_of();
template <>
std::span<const Setting<StationSection>> settings_of();
template <>
std::span<const Setting<ReceiverSection>> settings_of();
template <>
std::span<const Setting<AntennaSection>> settings_of();
template <>
std::span<const Setting<ArchiveSection>> settings_of();
template <>
std::span<const Setting<RoversSection>> settings_of();
template <>
std::span<const Setting<MountpointSection>> settings_of();
template <>
std::span<const Setting<TrustSection>> settings_of();
template <>
std::span<const Setting<SolveSection>> settings_of();
template <>
std::span<const Setting<ConsoleSection>> settings_of();
template <>
std::span<const Setting<HealthSection>> settings_of();
template <>
std::span<const Setting<LogSection>> settings_of();

inline constexpr std::string_view kMountpoint = "mountpoint";

// Calls f(name, member) for every section that stands there once.
template <class F>
void for_each_section(F&& f) {
  f("station", &StationConfig::station);
  f("receiver", &StationConfig::receiver);
  f("antenna", &StationConfig::antenna);
  f("archive", &StationConfig::archive);
  f("rovers", &StationConfig::rovers);
  f("trust", &StationConfig::trust);
  f("solve", &StationConfig::solve);
  f("console", &StationConfig::console);
  f("health", &StationConfig::health);
  f("log", &StationConfig::log);
}

inline constexpr std::string_view kNoValue = "(none)";

// Helpers of value_text() and allowed_text().
std::string toml_text(std::string_view text);
std::string toml_list(const std::vector<std::string>& texts);
std::string toml_list(std::span<const std::string_view> words);
std::string toml_number(double number);

// The value as TOML; kNoValue for an optional without one.
template <class S>
std::string value_text(const Setting<S>& setting, const S& section) {
  struct Visitor {
    const S& s;
    std::string operator()(const TextValue<S>& v) { return toml_text(s.*v.at); }
    std::string operator()(const WholeValue<S>& v) {
      return std::to_string(s.*v.at);
    }
    std::string operator()(const YesNoValue<S>& v) {
      return s.*v.at ? "true" : "false";
    }
    std::string operator()(const NumberValue<S>& v) {
      return s.*v.at ? toml_number(*(s.*v.at)) : std::string(kNoValue);
    }
    std::string operator()(const ListenValue<S>& v) {
      return toml_text(s.*v.at ? (s.*v.at)->text() : std::string());
    }
    std::string operator()(const WordValue<S>& v) {
      return toml_text(v.words[v.get(s)]);
    }
    std::string operator()(const SourceValue<S>& v) {
      return toml_text(s.*v.at);
    }
    std::string operator()(const SourcesValue<S>& v) {
      return toml_list(s.*v.at);
    }
  };
  return std::visit(Visitor{section}, setting.value);
}

// What is allowed, for messages and the docs page.
template <class S>
std::string allowed_text(const Setting<S>& setting) {
  struct Visitor {
    std::string operator()(const TextValue<S>& v) {
      return std::string(v.rule->allowed);
    }
    std::string operator()(const WholeValue<S>& v) {
      return std::to_string(v.least) + " .. " + std::to_string(v.most);
    }
    std::string operator()(const YesNoValue<S>&) { return "true or false"; }
    std::string operator()(const NumberValue<S>& v) {
      return std::to_string(v.least) + " .. " + std::to_string(v.most);
    }
    std::string operator()(const ListenValue<S>&) {
      return "ADDRESS:PORT in numbers, IPv6 in brackets, or \"\"";
    }
    std::string operator()(const WordValue<S>& v) { return toml_list(v.words); }
    std::string operator()(const SourceValue<S>&) { return "a source"; }
    std::string operator()(const SourcesValue<S>&) {
      return "a list of up to " + std::to_string(kMostNavSources) +
             " sources or paths of files that begin with /";
    }
  };
  return std::visit(Visitor{}, setting.value);
}

// Sets a setting of `to` as it is in `from`.
template <class S>
void copy_value(const Setting<S>& setting, const S& from, S& to) {
  std::visit(
      [&](const auto& v) {
        if constexpr (requires { v.at; }) {
          to.*v.at = from.*v.at;
        } else {
          v.set(to, v.get(from));
        }
      },
      setting.value);
}

}  // namespace stillpoint::config
