#include "stillpoint/rinex/version2_columns.h"

#include <algorithm>
#include <string_view>

namespace stillpoint::rinex {
namespace {

// Attributes of one band in the order of preference.
struct Rule {
  System system;
  char band;
  std::string_view c, p;    // of the C and the P range
  std::string_view others;  // of phase, Doppler and strength
};

constexpr std::array<Rule, 12> kRules{{
    {System::kGps, '1', "C", "WPY", "CWPYN"},
    {System::kGps, '2', "XLSC", "WPYD", "WPYDXLSCN"},
    {System::kGps, '5', "XQI", "", "XQI"},
    {System::kGlonass, '1', "C", "P", "CP"},
    {System::kGlonass, '2', "C", "P", "PC"},
    {System::kGalileo, '1', "XCBZA", "", "XCBZA"},
    {System::kGalileo, '5', "XQI", "", "XQI"},
    {System::kGalileo, '6', "XCBZA", "", "XCBZA"},
    {System::kGalileo, '7', "XQI", "", "XQI"},
    {System::kGalileo, '8', "XQI", "", "XQI"},
    {System::kSbas, '1', "C", "", "C"},
    {System::kSbas, '5', "IXQ", "", "IXQ"},
}};

const Rule* find_rule(System system, char band) {
  const auto* rule =
      std::find_if(kRules.begin(), kRules.end(), [&](const Rule& r) {
        return r.system == system && r.band == band;
      });
  return rule == kRules.end() ? nullptr : rule;
}

// Attributes among which this one's column is chosen; empty: it has none.
std::string_view rivals(const Rule& rule, Kind kind, char attribute) {
  for (const std::string_view list :
       {kind == Kind::kCode ? rule.c : rule.others,
        kind == Kind::kCode ? rule.p : std::string_view{}}) {
    if (list.find(attribute) != std::string_view::npos) {
      return list;
    }
  }
  return {};
}

// The first of the attributes that has a column.
char chosen(const std::vector<Column>& columns,
            Kind kind,
            char band,
            std::string_view attributes) {
  for (const char attribute : attributes) {
    const bool has =
        std::any_of(columns.begin(), columns.end(), [&](const Column& column) {
          return column.kind == kind &&
                 column.signal == SignalCode{band, attribute};
        });
    if (has) {
      return attribute;
    }
  }
  return 0;
}

std::string type2_name(const Rule& rule, Kind kind, char attribute) {
  const bool is_p =
      kind == Kind::kCode && rule.p.find(attribute) != std::string_view::npos;
  constexpr std::string_view kLetters = "CLDS";
  const char letter = is_p ? 'P' : kLetters[static_cast<std::size_t>(kind)];
  return {letter, rule.band};
}

// "C1" for the column that is written there, "" for one that is not.
std::string type2_of(const std::vector<Column>& columns,
                     System system,
                     const Column& column) {
  const Rule* rule = find_rule(system, column.signal.band);
  if (column.kind == Kind::kOther || rule == nullptr) {
    return {};
  }
  const char attribute = column.signal.attribute;
  const auto list = rivals(*rule, column.kind, attribute);
  if (chosen(columns, column.kind, rule->band, list) != attribute) {
    return {};
  }
  return type2_name(*rule, column.kind, attribute);
}

}  // namespace

bool is_version2_system(System system) {
  return std::any_of(kRules.begin(), kRules.end(), [&](const Rule& r) {
    return r.system == system;
  });
}

WrittenColumns version2_columns(
    const std::array<std::vector<Column>, kSystemCount>& columns) {
  WrittenColumns written;
  std::array<std::vector<Column>, kSystemCount> found;
  for (const System system : kSystems) {
    const auto index = static_cast<std::size_t>(system);
    for (Column column : columns[index]) {
      column.code = type2_of(columns[index], system, column);
      if (column.code.empty()) {
        continue;
      }
      auto& types = written.types2;
      if (std::find(types.begin(), types.end(), column.code) == types.end()) {
        types.push_back(column.code);
      }
      column.scale = 1;  // version 2.11 has no scale factors
      found[index].push_back(column);
    }
  }
  for (std::size_t index = 0; index < found.size(); ++index) {
    if (found[index].empty()) {
      continue;
    }
    for (const std::string& type : written.types2) {
      Column& to = written.by_system[index].emplace_back();
      const auto from = std::find_if(
          found[index].begin(), found[index].end(), [&](const Column& column) {
            return column.code == type;
          });
      if (from != found[index].end()) {
        to = *from;
      }
    }
  }
  return written;
}

std::string version2_loss(const std::vector<Column>& columns,
                          System system,
                          Kind kind,
                          SignalCode signal) {
  std::string loss;
  if (!is_version2_system(system)) {
    loss = system_name(system);
    loss += ": version 2.11 does not have this system";
    return loss;
  }
  loss = type3_name(kind, signal);
  loss += " of ";
  loss += system_name(system);
  const Rule* rule = find_rule(system, signal.band);
  const auto list = rule == nullptr ? std::string_view{}
                                    : rivals(*rule, kind, signal.attribute);
  const char winner =
      list.empty() ? '\0' : chosen(columns, kind, signal.band, list);
  if (winner == 0) {
    loss += ": version 2.11 has no code for it";
    return loss;
  }
  loss += ": version 2.11 has one ";
  loss += type2_name(*rule, kind, signal.attribute);
  loss += ", and ";
  loss += type3_name(kind, {signal.band, winner});
  loss += " is there";
  return loss;
}

std::string type3_name(Kind kind, SignalCode signal) {
  constexpr std::string_view kLetters = "CLDS?";
  return {kLetters[static_cast<std::size_t>(kind)],
          signal.band == 0 ? '?' : signal.band,
          signal.attribute == 0 ? '?' : signal.attribute};
}

}  // namespace stillpoint::rinex
