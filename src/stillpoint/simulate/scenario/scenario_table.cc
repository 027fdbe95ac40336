#include "stillpoint/simulate/scenario/scenario_table.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "stillpoint/time/scales.h"

namespace stillpoint::simulate {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

// Nothing for what is no date with a time, or none that exists.
std::optional<GnssTime> to_instant(const toml::node& node) {
  const toml::value<toml::date_time>* value = node.as_date_time();
  if (value == nullptr) {
    return std::nullopt;
  }
  const toml::date_time& d = value->get();
  const Calendar calendar{.year = d.date.year,
                          .month = d.date.month,
                          .day = d.date.day,
                          .hour = d.time.hour,
                          .minute = d.time.minute,
                          .second = d.time.second + d.time.nanosecond * 1e-9};
  const auto t =
      from_calendar(calendar, d.offset ? TimeScale::kUtc : TimeScale::kGps);
  if (!t) {
    return std::nullopt;
  }
  return d.offset ? *t - Duration{60.0 * d.offset->minutes} : *t;
}

}  // namespace

void ScenarioTable::real(std::string_view key,
                         double least,
                         double most,
                         double& into) {
  const toml::node* node = table_.get(key);
  if (node == nullptr) {
    return;
  }
  const auto value = node->value<double>();
  if (!node->is_number() || !value || !(*value >= least && *value <= most)) {
    reader_.wrong_value(key, fmt::format("a number {:g} .. {:g}", least, most));
    return;
  }
  into = *value;
}

void ScenarioTable::angle(std::string_view key,
                          double least,
                          double most,
                          double& into_rad) {
  double degrees = into_rad / kDegree;
  real(key, least, most, degrees);
  if (table_.contains(key)) {
    into_rad = degrees * kDegree;
  }
}

void ScenarioTable::millimetres(std::string_view key,
                                double most,
                                double& into_m) {
  double mm = 1e3 * into_m;
  real(key, -most, most, mm);
  if (table_.contains(key)) {
    into_m = mm * 1e-3;
  }
}

void ScenarioTable::text(std::string_view key, std::string& into) {
  if (const auto text = reader_.text(key)) {
    into = *text;
  }
}

void ScenarioTable::instant(std::string_view key, GnssTime& into) {
  const toml::node* node = table_.get(key);
  if (node == nullptr) {
    return;
  }
  const auto t = to_instant(*node);
  if (!t) {
    reader_.wrong_value(key, "a date with a time");
    return;
  }
  into = *t;
}

void ScenarioTable::moment(std::string_view key,
                           GnssTime start,
                           double& into_s) {
  const toml::node* node = table_.get(key);
  if (node != nullptr && node->is_number()) {
    real(key, -1e7, 1e7, into_s);
    return;
  }
  GnssTime t = start + Duration{into_s};
  instant(key, t);
  into_s = (t - start).s;
}

void ScenarioTable::texts(std::string_view key,
                          std::vector<std::string>& into) {
  const toml::node* node = table_.get(key);
  if (node == nullptr) {
    return;
  }
  const toml::array* list = node->as_array();
  if (list == nullptr ||
      (!list->empty() && !list->is_homogeneous(toml::node_type::string))) {
    reader_.wrong_value(key, "a list of texts");
    return;
  }
  into.clear();
  for (const toml::node& item : *list) {
    into.push_back(item.value_or(std::string()));
  }
}

void ScenarioTable::numbers(std::string_view key,
                            double most,
                            std::span<double> into) {
  const toml::node* node = table_.get(key);
  if (node == nullptr) {
    return;
  }
  const toml::array* list = node->as_array();
  bool good = list != nullptr && list->size() == into.size();
  for (std::size_t i = 0; good && i < into.size(); ++i) {
    const toml::node& item = *list->get(i);
    const double value = item.value_or(2 * most);
    good = item.is_number() && std::abs(value) <= most;
    into[i] = good ? value : 0;
  }
  if (!good) {
    reader_.wrong_value(
        key, fmt::format("{} numbers up to {:g}", into.size(), most));
  }
}

}  // namespace stillpoint::simulate
