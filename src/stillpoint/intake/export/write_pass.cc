#include "stillpoint/intake/export/write_pass.h"

#include <algorithm>
#include <set>
#include <tuple>
#include <utility>

#include "stillpoint/intake/export/header_maker.h"
#include "stillpoint/rinex/navigation_writer.h"

namespace stillpoint::intake {
namespace {

std::array<int, kSystemCount> count_satellites(const NavigationData& data,
                                               std::optional<System> only) {
  std::set<SatId> seen;
  for (const KeplerEphemeris& e : data.kepler) {
    seen.insert(e.sat);
  }
  for (const StateEphemeris& e : data.state) {
    seen.insert(e.sat);
  }
  std::array<int, kSystemCount> counts{};
  for (const SatId sat : seen) {
    if (!only || sat.system == *only) {
      ++counts[static_cast<std::size_t>(sat.system)];
    }
  }
  return counts;
}

template <class Set>
std::uint64_t count_of(const std::vector<Set>& sets,
                       std::optional<System> only) {
  return static_cast<std::uint64_t>(
      std::count_if(sets.begin(), sets.end(), [&](const Set& e) {
        return !only || e.sat.system == *only;
      }));
}

}  // namespace

WritePass::WritePass(const ExportRequest& request,
                     StretchDays days,
                     const StreamEnds& limits,
                     const SurveyFindings& found,
                     const std::vector<archive::Gap>& gaps,
                     const OpenFile& open)
    : ArchivePass(request, std::move(days), &limits),
      found_(found),
      gaps_(gaps),
      open_(open) {}

void WritePass::take(const Period& period,
                     const RecordedEpoch& recorded,
                     bool legacy) {
  if (!period_ || period != *period_) {
    status_ = end_observations();
    if (!status_) {
      return;
    }
    period_ = period;
    const auto facts = found_.periods.find(period);
    if (facts == found_.periods.end()) {
      status_ = fail(ErrorCode::kNoData,
                     "the recording changed while it was read",
                     "",
                     "export again; hours that are deleted meanwhile are left "
                     "out with a later --start");
      return;
    }
    facts_ = &facts->second;
  }
  if (legacy != facts_->is_legacy()) {
    return;
  }
  if (!writer_) {
    status_ = begin_observations(period, *facts_);
  }
  if (status_) {
    status_ = writer_->add(recorded.epoch);
    ++file_.records;
  }
}

Status WritePass::begin_observations(const Period& period,
                                     const PeriodFacts& facts) {
  const EpochFacts& epochs = facts.epochs();
  const rinex::ObservationHeader header =
      make_header(request(), period, facts, found_.glonass_channels, gaps_);
  file_ = {};
  file_.name =
      observation_file_name(request().naming, period, header.interval_s);
  file_.period = period;
  file_.first = epochs.first();
  file_.last = epochs.last();
  file_.interval_s = header.interval_s;
  file_.bytes = epochs.bytes();
  for (const System system : kSystems) {
    file_.satellites[static_cast<std::size_t>(system)] =
        static_cast<int>(epochs.satellites(system).size());
  }
  auto sink = open_(file_.name);
  if (!sink) {
    return fail(std::move(sink.error()));
  }
  auto writer = rinex::ObservationWriter::begin(
      header,
      {request().naming.version, request().naming.hatanaka},
      std::move(*sink));
  if (!writer) {
    return fail(std::move(writer.error()));
  }
  writer_.emplace(std::move(*writer));
  return ok();
}

Status WritePass::end_observations() {
  if (!writer_) {
    return status_;
  }
  Status ended = writer_->finish();
  for (const auto& [what, count] : writer_->left_out()) {
    left_out_[what] += count;
  }
  writer_.reset();
  files_.push_back(std::move(file_));
  return ended;
}

template <class Set>
void WritePass::add_set(const Set& set) {
  // Not the time of reception: what was played again came on another day.
  const GnssTime time = epoch_time().value_or(set.toe);
  if (!goes_on() || !request().span.holds(time)) {
    return;
  }
  const Period period = period_of(time, request().length, request().span);
  if (!sets_period_ || period > *sets_period_) {
    status_ = write_sets();
    sets_ = {};
    sets_period_ = period;
  }
  sets_.add(set);
}

Status WritePass::write_sets() {
  if (sets_.empty()) {
    return status_;
  }
  if (request().naming.version != rinex::Version::k211) {
    return write_set_file(std::nullopt);
  }
  for (const System system : kSystems) {
    const std::uint64_t count = count_of(sets_.data().kepler, system) +
                                count_of(sets_.data().state, system);
    const bool has_file = system == System::kGps ||
                          system == System::kGlonass || system == System::kSbas;
    if (count > 0 && has_file) {
      if (auto written = write_set_file(system); !written) {
        return written;
      }
    } else if (count > 0) {
      left_out_[std::string("ephemerides of ") + system_name(system) +
                ": version 2.11 has no file for them"] += count;
    }
  }
  return ok();
}

Status WritePass::write_set_file(std::optional<System> only) {
  ExportedFile file;
  file.name = navigation_file_name(request().naming, *sets_period_, only);
  file.kind = ExportedKind::kNavigation;
  file.period = *sets_period_;
  file.records =
      count_of(sets_.data().kepler, only) + count_of(sets_.data().state, only);
  file.satellites = count_satellites(sets_.data(), only);
  auto sink = open_(file.name);
  if (!sink) {
    return fail(std::move(sink.error()));
  }
  rinex::NavigationWriterOptions options;
  options.version = request().naming.version;
  options.only = only;
  options.program = request().program;
  options.run_by = request().run_by;
  options.run_date = request().run_date;
  options.comments = {"sets that were received at " + request().naming.station};
  options.leap_seconds = found_.station.leap_seconds;
  if (auto written =
          rinex::write_navigation(sets_.data(), options, **sink, left_out_);
      !written) {
    return written;
  }
  if (auto closed = (*sink)->close(); !closed) {
    return closed;
  }
  files_.push_back(std::move(file));
  return ok();
}

Status WritePass::finish() {
  if (status_) {
    status_ = end_observations();
  }
  if (status_) {
    status_ = write_sets();
    sets_ = {};
  }
  std::sort(files_.begin(), files_.end(), [](const auto& a, const auto& b) {
    return std::tuple(a.period.start, a.kind, a.name) <
           std::tuple(b.period.start, b.kind, b.name);
  });
  return status_;
}

}  // namespace stillpoint::intake
