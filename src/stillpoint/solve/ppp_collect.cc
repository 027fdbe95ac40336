#include "stillpoint/solve/ppp_collect.h"

#include <algorithm>
#include <string_view>

#include "stillpoint/math/robust.h"
#include "stillpoint/solve/code_pair.h"

namespace stillpoint::solve {
namespace {

// Phases of a band, best first: those that receivers track in their own right
// before those that are reconstructed. Common practice, no source.
std::string_view phase_order(System system, char band) {
  switch (system) {
    case System::kGps:
      return band == '1' ? "CWPYLXSNM" : band == '2' ? "WPYDLXSCNM" : "QXI";
    case System::kGlonass:
      return "PCQXI";
    case System::kGalileo:
      return "CXBAZQI";
    case System::kBeidou:
      return "IPXQDAN";
    default:
      return "CLXSQIZEDP";
  }
}

const Observation* find_phase(System system,
                              char band,
                              std::span<const Observation> rows) {
  const std::string_view order = phase_order(system, band);
  const Observation* best = nullptr;
  std::size_t best_rank = order.size();
  for (const Observation& row : rows) {
    if (row.signal.band != band || !is_present(row.phase_cyc)) {
      continue;
    }
    const std::size_t rank = order.find(row.signal.attribute);
    if (rank < best_rank) {
      best = &row;
      best_rank = rank;
    }
  }
  return best;
}

double weaker(double a, double b) {
  if (!is_present(a) || !is_present(b)) {
    return is_present(a) ? a : b;
  }
  return std::min(a, b);
}

bool usable(System system, const PppOptions& options) {
  return options.systems.has(system) && system != System::kSbas &&
         system != System::kNavic;
}

std::optional<PppRow> row_of(const Epoch& epoch,
                             const SatRows& sat_rows,
                             std::optional<int> channel) {
  const System system = sat_rows.sat.system;
  const auto rows = epoch.rows(sat_rows);
  const auto pair = choose_pair(system, rows, channel, false);
  if (!pair || pair->second == nullptr) {
    return std::nullopt;
  }
  const Observation* first = find_phase(system, pair->first->signal.band, rows);
  const Observation* second =
      find_phase(system, pair->second->signal.band, rows);
  if (first == nullptr || second == nullptr) {
    return std::nullopt;
  }
  PppRow row;
  row.sat = sat_rows.sat;
  row.lli = static_cast<std::uint8_t>(first->lli | second->lli);
  row.code_first = pair->first->signal;
  row.code_second = pair->second->signal;
  row.phase_first = first->signal;
  row.phase_second = second->signal;
  row.cn0_dbhz = static_cast<float>(weaker(first->cn0_dbhz, second->cn0_dbhz));
  row.first_hz = pair->first_hz;
  row.second_hz = pair->second_hz;
  row.weight_first = pair->weight_first;
  row.code_first_m = pair->first->code_m;
  row.code_second_m = pair->second->code_m;
  row.phase_first_m = first->phase_cyc * kSpeedOfLightMps / pair->first_hz;
  row.phase_second_m = second->phase_cyc * kSpeedOfLightMps / pair->second_hz;
  return row;
}

}  // namespace

void collect(const Epoch& epoch,
             const OrbitSource& orbits,
             const PppOptions& options,
             PppSession& session,
             Counts& counts) {
  ++counts.epochs_seen;
  PppEpoch kept{epoch.time, static_cast<std::uint32_t>(session.rows.size()), 0};
  for (const SatRows& rows : epoch.satellites) {
    const auto exclude = [&](Exclusion reason) {
      ++counts.excluded[rows.sat][static_cast<std::size_t>(reason)];
    };
    if (!usable(rows.sat.system, options)) {
      exclude(Exclusion::kSystemOff);
      continue;
    }
    std::optional<int> channel;
    if (rows.sat.system == System::kGlonass) {
      channel = options.glonass_channel[rows.sat.number % 100u];
      if (!channel) {
        channel = orbits.glonass_channel(rows.sat);
      }
    }
    auto row = row_of(epoch, rows, channel);
    if (!row) {
      exclude(Exclusion::kNoSignalPair);
      continue;
    }
    if (epoch.flag == EpochFlag::kPowerFailure) {
      row->lli |= 1;
    }
    session.rows.push_back(*row);
    ++kept.count;
  }
  session.epochs.push_back(kept);
}

double usual_interval_s(const PppSession& session) {
  std::vector<double> steps;
  for (std::size_t k = 1; k < session.epochs.size(); ++k) {
    steps.push_back((session.epochs[k].time - session.epochs[k - 1].time).s);
  }
  return steps.empty() ? 30 : math::median_in_place(steps);
}

void thin(PppSession& session) {
  std::vector<PppEpoch> epochs;
  std::size_t write = 0;
  for (std::size_t k = 0; k < session.epochs.size(); k += 2) {
    PppEpoch epoch = session.epochs[k];
    std::copy_n(session.rows.begin() + epoch.first,
                epoch.count,
                session.rows.begin() + static_cast<std::ptrdiff_t>(write));
    epoch.first = static_cast<std::uint32_t>(write);
    write += epoch.count;
    epochs.push_back(epoch);
  }
  session.rows.resize(write);
  session.epochs = std::move(epochs);
}

}  // namespace stillpoint::solve
