// A table of a scenario's text, read key by key with the scenario's own kinds
// of values. Inside this folder only.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/profile/profile_text.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::simulate {

using profile::KeyRule;
using profile::Mistakes;

class ScenarioTable {
 public:
  ScenarioTable(const toml::table& table,
                std::string_view what,
                std::span<const KeyRule> rules,
                Mistakes& mistakes)
      : table_(table), reader_(table, what, rules, mistakes) {}

  [[nodiscard]] profile::TableReader& reader() { return reader_; }
  [[nodiscard]] const toml::table& toml() const { return table_; }

  // Each leaves `into` as it is where the key is absent, or wrong (then said).
  void real(std::string_view key, double least, double most, double& into);
  // A number of degrees, kept in radians.
  void angle(std::string_view key, double least, double most, double& into_rad);
  // A number of millimetres, kept in metres.
  void millimetres(std::string_view key, double most, double& into_m);
  void text(std::string_view key, std::string& into);
  // A date and time (local: GPST, with an offset: UTC).
  void instant(std::string_view key, GnssTime& into);
  // A date and time, or seconds since the start; kept as the latter.
  void moment(std::string_view key, GnssTime start, double& into_s);
  void texts(std::string_view key, std::vector<std::string>& into);
  // `count` numbers.
  void numbers(std::string_view key, double most, std::span<double> into);

 private:
  const toml::table& table_;
  profile::TableReader reader_;
};

// Calls each(table) for the tables [[key]].
template <class Each>
void for_tables(ScenarioTable& parent, std::string_view key, Each&& each) {
  const toml::node* node = parent.toml().get(key);
  if (node == nullptr) {
    return;
  }
  const toml::array* list = node->as_array();
  if (list == nullptr || !list->is_homogeneous(toml::node_type::table)) {
    parent.reader().wrong_value(key, "a list of tables");
    return;
  }
  for (const toml::node& item : *list) {
    each(*item.as_table());
  }
}

}  // namespace stillpoint::simulate
