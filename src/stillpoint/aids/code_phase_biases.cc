#include "stillpoint/aids/code_phase_biases.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "stillpoint/core/text.h"

namespace stillpoint {
namespace {

// Seconds per unit of a row; nothing for cycles of an unknown frequency.
std::optional<double> unit_s(BiasUnit unit,
                             System system,
                             char band,
                             std::optional<int> glonass_channel) {
  if (unit == BiasUnit::kNanoseconds) {
    return 1e-9;
  }
  const auto carrier_hz = frequency_hz(system, band, glonass_channel);
  if (!carrier_hz) {
    return std::nullopt;
  }
  return 1.0 / *carrier_hz;
}

}  // namespace

std::string_view BiasProduct::text_of(std::string_view keyword) const {
  for (const auto& [name, text] : description) {
    if (name == keyword) {
      return text;
    }
  }
  return {};
}

std::vector<std::string> BiasProduct::clock_reference(System system) const {
  std::vector<std::string> observables;
  for (const auto& [name, text] : description) {
    if (name != "SATELLITE_CLOCK_REFERENCE_OBSERVABLES" || text.empty() ||
        text[0] != system_letter(system)) {
      continue;
    }
    std::string_view rest = trim(std::string_view(text).substr(1));
    while (!rest.empty()) {
      const std::size_t size = std::min(rest.find(' '), rest.size());
      observables.emplace_back(rest.substr(0, size));
      rest = trim(rest.substr(size));
    }
    break;
  }
  return observables;
}

std::optional<BiasSignal> parse_bias_signal(std::string_view observable) {
  const auto is_band = [](char c) { return c >= '1' && c <= '9'; };
  const auto is_attribute = [](char c) { return c >= 'A' && c <= 'Z'; };
  if (observable.size() != 3 || !is_band(observable[1]) ||
      !is_attribute(observable[2]) ||
      (observable[0] != 'C' && observable[0] != 'L')) {
    return std::nullopt;
  }
  return BiasSignal{{observable[1], observable[2]}, observable[0] == 'L'};
}

Status CodePhaseBiases::add(const BiasProduct& product) {
  if (absolute_ && *absolute_ != product.absolute) {
    return fail(ErrorCode::kMixedInput,
                product.absolute
                    ? "absolute biases, but those before are relative ones"
                    : "relative biases, but those before are absolute ones",
                product.source);
  }
  absolute_ = product.absolute;
  std::vector<Entry> entries;
  for (const BiasRow& row : product.rows) {
    const auto signal = parse_bias_signal(row.first);
    if (row.kind != BiasKind::kObservable || !row.satellite ||
        !row.station.empty() || !signal) {
      continue;
    }
    Entry entry;
    entry.key = {*row.satellite, signal->signal, signal->phase};
    entry.from_ns =
        row.from ? row.from->ns() : std::numeric_limits<std::int64_t>::min();
    entry.until_ns =
        row.until ? row.until->ns() : std::numeric_limits<std::int64_t>::max();
    entry.value = row.value;
    entry.sigma = row.sigma.value_or(std::numeric_limits<double>::quiet_NaN());
    entry.unit = row.unit;
    // Without a start there is nothing to count from.
    entry.slope_per_s = row.slope && row.from ? row.slope->per_s : 0;
    entries.push_back(entry);
  }
  std::stable_sort(
      entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
        return std::tie(a.key, a.from_ns) < std::tie(b.key, b.from_ns);
      });
  layers_.push_back(std::move(entries));
  return ok();
}

const CodePhaseBiases::Entry* CodePhaseBiases::find(const Key& key,
                                                    GnssTime t) const {
  for (const std::vector<Entry>& layer : layers_) {
    // The first entry that starts too late, then back.
    auto at = std::partition_point(
        layer.begin(), layer.end(), [&](const Entry& entry) {
          return entry.key < key ||
                 (entry.key == key && entry.from_ns <= t.ns());
        });
    while (at != layer.begin() && (at - 1)->key == key) {
      --at;
      if (t.ns() <= at->until_ns) {
        return &*at;
      }
    }
  }
  return nullptr;
}

std::optional<double> CodePhaseBiases::osb_s(
    SatId sat,
    SignalCode signal,
    bool phase,
    GnssTime t,
    std::optional<int> glonass_channel) const {
  const Entry* const entry = find({sat, signal, phase}, t);
  if (entry == nullptr) {
    return std::nullopt;
  }
  const auto scale_s =
      unit_s(entry->unit, sat.system, signal.band, glonass_channel);
  if (!scale_s) {
    return std::nullopt;
  }
  double value = entry->value;
  if (entry->slope_per_s != 0) {
    value += entry->slope_per_s * (t - GnssTime::from_ns(entry->from_ns)).s;
  }
  return value * *scale_s;
}

std::optional<double> CodePhaseBiases::sigma_s(
    SatId sat,
    SignalCode signal,
    bool phase,
    GnssTime t,
    std::optional<int> glonass_channel) const {
  const Entry* const entry = find({sat, signal, phase}, t);
  if (entry == nullptr || std::isnan(entry->sigma)) {
    return std::nullopt;
  }
  const auto scale_s =
      unit_s(entry->unit, sat.system, signal.band, glonass_channel);
  return scale_s ? std::optional(entry->sigma * *scale_s) : std::nullopt;
}

}  // namespace stillpoint
