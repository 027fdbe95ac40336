// Reads one section of station.toml by the list of its settings. What is wrong
// is said, and the default stays in its place.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/config/misplaced_keys.h"
#include "stillpoint/config/settings.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/profile/profile_text.h"
#include "stillpoint/profile/toml.h"

namespace stillpoint::config {

// Of one file.
struct Reading {
  const SourceCheck* check_source;
  profile::Mistakes* mistakes;
  // "rovers.listen" of settings that are wrong in themselves: whether they fit
  // the others is not worth a word.
  std::set<std::string> wrong = {};
};

// The value of one key, which is there. Each function says what is wrong and
// then returns nothing.
class Cell {
 public:
  Cell(profile::TableReader& reader,
       const toml::node& node,
       std::string_view key,
       std::string_view example,
       std::string allowed)
      : reader_(&reader),
        node_(&node),
        key_(key),
        example_(example),
        allowed_(std::move(allowed)) {}

  void wrong() const;
  [[nodiscard]] std::optional<std::string> text() const;
  [[nodiscard]] std::optional<std::uint32_t> whole(std::uint32_t least,
                                                   std::uint32_t most) const;
  [[nodiscard]] std::optional<bool> yes_no() const;
  [[nodiscard]] std::optional<double> number(int least, int most) const;
  // These never repeat a text: a password may stand in it.
  [[nodiscard]] std::optional<std::string> source(Reading& reading) const;
  [[nodiscard]] std::optional<std::vector<std::string>> sources(
      Reading& reading) const;

 private:
  profile::TableReader* reader_;
  const toml::node* node_;
  std::string_view key_, example_;
  std::string allowed_;
};

template <class S>
void read_value(const Setting<S>& setting,
                const Cell& cell,
                profile::TableReader& reader,
                Reading& reading,
                S& section) {
  struct Visitor {
    const Cell& cell;
    profile::TableReader& reader;
    Reading& reading;
    S& s;
    std::string_view key;

    void operator()(const TextValue<S>& v) {
      if (auto text = cell.text()) {
        if (v.rule->fits(*text)) {
          s.*v.at = std::move(*text);
        } else {
          cell.wrong();
        }
      }
    }
    void operator()(const WholeValue<S>& v) {
      s.*v.at = cell.whole(v.least, v.most).value_or(s.*v.at);
    }
    void operator()(const YesNoValue<S>& v) {
      s.*v.at = cell.yes_no().value_or(s.*v.at);
    }
    void operator()(const NumberValue<S>& v) {
      s.*v.at = cell.number(v.least, v.most);
    }
    void operator()(const ListenValue<S>& v) {
      if (const auto text = cell.text()) {
        s.*v.at = parse_listen_address(*text);
        if (!text->empty() && !(s.*v.at)) {
          cell.wrong();
        }
      }
    }
    void operator()(const WordValue<S>& v) {
      if (const auto number = reader.word(key, v.words)) {
        v.set(s, *number);
      }
    }
    void operator()(const SourceValue<S>& v) {
      s.*v.at = cell.source(reading).value_or(s.*v.at);
    }
    void operator()(const SourcesValue<S>& v) {
      s.*v.at = cell.sources(reading).value_or(s.*v.at);
    }
  };
  std::visit(Visitor{cell, reader, reading, section, setting.key},
             setting.value);
}

// Keys that belong elsewhere are said and taken out of the table.
template <class S>
void read_section(toml::table& table,
                  std::string_view name,
                  Reading& reading,
                  S& section) {
  take_misplaced_keys(table, name, *reading.mistakes);
  std::vector<profile::KeyRule> rules;
  for (const Setting<S>& setting : settings_of<S>()) {
    rules.push_back({setting.key, setting.required, setting.example});
  }
  profile::TableReader reader(
      table, section_label(name), rules, *reading.mistakes);
  for (const Setting<S>& setting : settings_of<S>()) {
    const std::size_t before = reading.mistakes->count();
    if (const toml::node* node = table.get(setting.key)) {
      std::string allowed = allowed_text(setting);
      if (!setting.unit.empty()) {
        allowed += " (" + std::string(setting.unit) + ")";
      }
      const Cell cell(
          reader, *node, setting.key, setting.example, std::move(allowed));
      read_value(setting, cell, reader, reading, section);
    }
    if (reading.mistakes->count() > before) {
      reading.wrong.insert(std::string(name) + "." + std::string(setting.key));
    }
  }
}

}  // namespace stillpoint::config
